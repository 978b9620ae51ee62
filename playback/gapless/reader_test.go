package gapless

import (
	"fmt"
	"slices"
	"testing"

	"github.com/faiface/beep"
)

var _ beep.StreamSeeker = (*Reader)(nil)

// committed are the files in testdata: see the README there.
var committed = []struct {
	name                   string
	rate, channels, frames int
	tag                    bool
	args                   []string // of lame
}{
	{"cbr-stereo.mp3", 44100, 2, 13000, true, []string{"-b", "128"}},
	{"vbr-mono.mp3", 44100, 1, 17000, true, []string{"-V", "4"}},
	{"mpeg2-24k.mp3", 24000, 2, 8000, true, []string{"-b", "64"}},
	{"mpeg2-22k-padded.mp3", 22050, 1, 9001, true, []string{"-b", "64"}},
	{"no-tag.mp3", 48000, 2, 9000, false, []string{"-t", "--resample", "48", "-b", "96"}},
}

func TestMakeTestdata(t *testing.T) {
	t.Parallel()
	if !*makeTestdata {
		t.Skip("only with -make-testdata")
	}
	for _, f := range committed {
		args := append([]string{"--quiet"}, f.args...)
		b := encode(t, master, f.rate, f.channels, f.frames, "lame", append(args, "IN", "OUT")...)
		writeFile(t, "testdata/"+f.name, b)
	}
}

// The first and every frame lie where they lie in the master. LAME's delay of
// 576 frames is in its Technical FAQ; a file without a tag keeps it, and the
// decoder's 529.
func TestMasterInPlace(t *testing.T) {
	t.Parallel()
	for _, f := range committed {
		t.Run(f.name, func(t *testing.T) {
			r := open(t, testFile(t, f.name))
			if r.Rate() != f.rate || r.Channels() != f.channels {
				t.Errorf("%d Hz, %d channels, want %d and %d", r.Rate(), r.Channels(), f.rate, f.channels)
			}
			got := readAll(t, r)
			wantLag := 0
			if f.tag {
				if len(got) != f.frames || r.Len() != f.frames {
					t.Errorf("%d frames of %d, want %d", len(got), r.Len(), f.frames)
				}
			} else {
				wantLag = 576 + 529
			}
			at, like := lag(got, master(f.rate, f.channels, f.frames), 1500)
			if at != wantLag || like < 0.999 {
				t.Errorf("master found %d frames late (likeness %.5f), want %d", at, like, wantLag)
			}
			if i := r.Info(); i.HasDelay != f.tag || (i.StartUncertain == 0) != f.tag || len(i.Repairs) != 0 {
				t.Errorf("info: %+v", i)
			}
		})
	}
}

func TestInfo(t *testing.T) {
	t.Parallel()
	b := testFile(t, "cbr-stereo.mp3")
	got := fmt.Sprintf("%+v", open(t, b).Info())
	// ffprobe on this file: bit rate 128000, "pad 576 1400" in its trace.
	want := "{Version:MPEG-1 Layer:3 Rate:44100 Channels:2 BitrateKind:CBR Bitrate:128000 Encoder:LAME3.100 TagKind:Info " +
		"HasDelay:true Delay:576 Padding:1400 Frames:13000 Missing:0 Extra:0 StartUncertain:0 " +
		fmt.Sprintf("AudioStart:0 AudioEnd:%d Title: Artist: Album: Intensity:false Repairs:[]}", len(b))
	if got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func TestSeekOutOfRange(t *testing.T) {
	t.Parallel()
	r := open(t, testFile(t, "cbr-stereo.mp3"))
	for _, f := range []int{-1, 13001} {
		if r.Seek(f) == nil {
			t.Errorf("seek to %d of 13000: no error", f)
		}
	}
	if err := r.Seek(13000); err != nil {
		t.Error(err)
	}
	if n, ok := r.Stream(make([][2]float64, 1)); n != 0 || ok {
		t.Errorf("at the end: %d, %v", n, ok)
	}
	if err := r.Seek(12999); err != nil {
		t.Error(err)
	}
	if n, ok := r.Stream(make([][2]float64, 5)); n != 1 || !ok {
		t.Errorf("one before the end: %d, %v", n, ok)
	}
	if n, ok := r.Stream(nil); n != 0 || ok {
		t.Errorf("nothing asked at the end: %d, %v", n, ok)
	}
}

// A mono file plays on both channels.
func TestMonoOnBothChannels(t *testing.T) {
	t.Parallel()
	got := readAll(t, open(t, testFile(t, "vbr-mono.mp3")))
	if slices.ContainsFunc(got, func(f [2]float64) bool { return f[0] != f[1] }) {
		t.Error("the channels differ")
	}
}
