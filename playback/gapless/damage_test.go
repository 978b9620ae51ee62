package gapless

import (
	"bytes"
	"encoding/binary"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// damages are done to cbr-stereo.mp3, 13 MPEG frames with sound behind a tag
// frame. From frame `good` on the sound must be what it was, in its place.
var damages = []struct {
	name   string
	do     func(b []byte, at []int) []byte // at: offsets of the frames
	first  int                             // the first MPEG frame that suffers
	good   int                             // the first that is whole again
	reason string
}{
	{"a header overwritten", func(b []byte, at []int) []byte {
		clear(b[at[5] : at[5]+4])
		return b
	}, 5, 8, "no MP3 frame"},
	{"a bit rate overwritten, frame too long", func(b []byte, at []int) []byte {
		b[at[5]+2] |= 0xc0
		return b
	}, 5, 8, "no MP3 frame"},
	{"a bit rate overwritten, frame too short", func(b []byte, at []int) []byte {
		b[at[5]+2] = b[at[5]+2]&0x0f | 0x30
		return b
	}, 5, 8, "no MP3 frame"},
	{"three frames overwritten", func(b []byte, at []int) []byte {
		clear(b[at[4]:at[7]])
		return b
	}, 4, 9, "no MP3 frame"},
	{"three frames full of false sync words", func(b []byte, at []int) []byte {
		copy(b[at[4]:at[7]], bytes.Repeat([]byte{0xff, 0xfb, 0x90, 0x44}, 400))
		return b
	}, 4, 9, "description"},
	{"two and a half frames taken out", func(b []byte, at []int) []byte {
		return slices.Delete(b, at[4], at[6]+200)
	}, 4, 9, "no MP3 frame"},
	{"junk put in", func(b []byte, at []int) []byte {
		return slices.Insert(b, at[6], make([]byte, 900)...)
	}, 6, 8, "no MP3 frame"},
	{"a tag put in", func(b []byte, at []int) []byte {
		return slices.Insert(b, at[6], id3v2(4, nil)...)
	}, 13, 13, ""},
	{"side information overwritten", func(b []byte, at []int) []byte {
		copy(b[at[5]+4:], bytes.Repeat([]byte{0xff}, 32))
		return b
	}, 5, 7, "description"},
	{"sound data overwritten", func(b []byte, at []int) []byte {
		copy(b[at[5]+36:at[6]], bytes.Repeat([]byte{0x5a}, 400))
		return b
	}, 4, 8, ""},
	{"a granule that divides its lines wrongly", func(b []byte, at []int) []byte {
		spoil(b[at[5]+4:])
		return b
	}, 5, 7, "sound data is damaged"},
}

// spoil makes the decoder refuse an MPEG-1 stereo frame, given its side
// information: the first granule's regions go beyond the last band. Nothing
// but decoding shows it.
func spoil(side []byte) {
	const granule = 9 + 3 + 8
	putBits(side, granule+33, 1, 0)  // no window switching
	putBits(side, granule+49, 4, 15) // region0_count
	putBits(side, granule+53, 3, 7)  // region1_count
}

// A frame that the decoder panics on is played as silence: mixed blocks at an
// MPEG-2 rate.
func TestPanicIsSilence(t *testing.T) {
	t.Parallel()
	whole := testFile(t, "mpeg2-24k.mp3")
	straight := readAll(t, open(t, whole))
	at := frameOffsets(t, whole)
	b := slices.Clone(whole)
	side := b[at[6]+4:]
	const granule = 8 + 2
	putBits(side, granule+38, 4, 0b1101) // window switching, block type 2, mixed
	r := open(t, b)
	got := readAll(t, r)
	from, to := int(r.ix.music(6)), int(r.ix.music(9))
	if !slices.Equal(got[:from], straight[:from]) || !slices.Equal(got[to:], straight[to:]) {
		t.Error("the sound around the frame has changed")
	}
	checkRepairs(t, r.Info().Repairs, "sound data is damaged", int64(from), int64(to))
	if slices.Equal(got[from:from+576], straight[from:from+576]) {
		t.Error("the frame was decoded after all")
	}
}

// Across a damaged place time is kept: the rest of the music stays in place.
func TestDamageKeepsTime(t *testing.T) {
	t.Parallel()
	whole := testFile(t, "cbr-stereo.mp3")
	straight := readAll(t, open(t, whole))
	at := frameOffsets(t, whole)
	for _, d := range damages {
		t.Run(d.name, func(t *testing.T) {
			r := open(t, d.do(slices.Clone(whole), at))
			got := readAll(t, r)
			if len(got) != len(straight) {
				t.Fatalf("%d frames, want %d", len(got), len(straight))
			}
			before := int(r.ix.music(d.first))
			if !slices.Equal(got[:before], straight[:before]) {
				t.Error("the sound before the damage has changed")
			}
			after := int(r.ix.music(d.good))
			if !slices.Equal(got[after:], straight[after:]) {
				t.Errorf("from MPEG frame %d on the sound is not what it was", d.good)
			}
			checkRepairs(t, r.Info().Repairs, d.reason, int64(before), int64(after))
		})
	}
}

// checkRepairs wants one repair for reason within [from, to], none for "".
func checkRepairs(t *testing.T, got []Repair, reason string, from, to int64) {
	t.Helper()
	if reason == "" {
		return
	}
	if len(got) != 1 {
		t.Fatalf("%d repairs, want 1: %+v", len(got), got)
	}
	if r := got[0]; !strings.Contains(r.Reason, reason) || r.Start < from || r.Start+r.Frames > to {
		t.Errorf("repair %+v, want %q within %d..%d", r, reason, from, to)
	}
}

// A file cut short is as long as what is there, and says what is missing.
// mpg123 keeps the same frames.
func TestCutShort(t *testing.T) {
	t.Parallel()
	whole := testFile(t, "cbr-stereo.mp3")
	straight := readAll(t, open(t, whole))
	at := frameOffsets(t, whole)
	for _, cut := range []int{at[8], at[8] + 1, at[8] + 100, at[9] - 1} {
		b := whole[:cut]
		r := open(t, b)
		got := readAll(t, r)
		if want := 8*1152 - 576 - 529; len(got) != want || r.Len() != want {
			t.Errorf("cut at %d: %d frames of %d, want %d", cut, len(got), r.Len(), want)
		}
		if !slices.Equal(got, straight[:len(got)]) {
			t.Errorf("cut at %d: the sound has changed", cut)
		}
		if i := r.Info(); i.Missing != int64(len(straight)-len(got)) {
			t.Errorf("cut at %d: %d frames missing, want %d", cut, i.Missing, len(straight)-len(got))
		}
	}
	t.Run("mpg123", func(t *testing.T) {
		b := whole[:at[8]]
		want := mpg123(t, b)
		got := readAll(t, open(t, b))
		if d, at := worst(got, want); d > 1.1*lsb || len(want) < len(got) {
			t.Errorf("mpg123 has %d frames to our %d and differs by %.2f steps at %d", len(want), len(got), d/lsb, at)
		}
	})
}

// A stream cut out of a longer one begins with frames whose data is not there.
func TestCutAtStart(t *testing.T) {
	t.Parallel()
	b := testFile(t, "cbr-stereo.mp3")
	at := frameOffsets(t, b)
	straight := readAll(t, open(t, b))
	r := open(t, b[at[3]:])
	got := readAll(t, r)
	if r.Info().StartUncertain == 0 || r.Info().TagKind != "" {
		t.Errorf("info: %+v", r.Info())
	}
	// No tag: nothing is taken off, and frame 4 of the stream is whole again.
	from := 2 * 1152
	off := 3*1152 - 576 - 529
	if !slices.Equal(got[from:5000], straight[from+off:5000+off]) {
		t.Error("the sound is not where it should be")
	}
}

func TestRefused(t *testing.T) {
	t.Parallel()
	b := testFile(t, "cbr-stereo.mp3")
	other := testFile(t, "no-tag.mp3")
	mono := testFile(t, "vbr-mono.mp3")
	repeat := func(head uint32, size, n int) []byte {
		f := make([]byte, size)
		binary.BigEndian.PutUint32(f, head)
		return bytes.Repeat(f, n)
	}
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"empty", nil, "no MP3 frames"},
		{"text", []byte("no music at all, but some words of text"), "no MP3 frames"},
		{"zeros", make([]byte, 10000), "no MP3 frames"},
		{"a lone tag frame", b[:frameOffsets(t, b)[0]], "besides its tag"},
		{"free format", repeat(0xfffb0044, 700, 20), "free format"},
		{"layer 2", repeat(0xfffd8404, 417, 20), "layer 2"},
		{"8 kHz", repeat(0xffe348c4, 288, 20), "8000 Hz"},
		{"another rate", slices.Concat(b, other), "MPEG-1 44100 Hz stereo to MPEG-1 48000 Hz stereo"},
		{"other channels", slices.Concat(b, mono), "stereo to MPEG-1 44100 Hz mono"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := NewReader(bytes.NewReader(c.data))
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("error %v, want one with %q", err, c.want)
			}
		})
	}
}

// Frames overwritten anywhere leave the length, and the end in its place.
func TestOverwrittenAnywhere(t *testing.T) {
	t.Parallel()
	for _, f := range committed {
		if !f.tag {
			continue
		}
		whole := testFile(t, f.name)
		straight := readAll(t, open(t, whole))
		at := frameOffsets(t, whole)
		last := straight[len(straight)-400:]
		// The last three frames need up to 511 bytes of main data before them.
		limit := len(at) - 3
		for need := 511; need > 0; limit-- {
			need -= at[limit] - at[limit-1] - 36
		}
		rapid.Check(t, func(rt *rapid.T) {
			b := slices.Clone(whole)
			for range rapid.IntRange(1, 2).Draw(rt, "places") {
				from := rapid.IntRange(0, limit-1).Draw(rt, "from")
				to := rapid.IntRange(from+1, limit).Draw(rt, "to")
				clear(b[at[from]:at[to]])
			}
			r := open(t, b)
			if r.Len() != len(straight) {
				rt.Fatalf("%d frames, want %d", r.Len(), len(straight))
			}
			if err := r.Seek(len(straight) - len(last)); err != nil {
				rt.Fatal(err)
			}
			if !slices.Equal(readAll(t, r), last) {
				rt.Fatal("the end is not in its place")
			}
		})
	}
}

// Where the frame is whole but its sound is not, libmpg123 goes on at the same
// place: it differs by the cut-off steps only.
func TestDamageAgainstMpg123(t *testing.T) {
	t.Parallel()
	whole := testFile(t, "cbr-stereo.mp3")
	at := frameOffsets(t, whole)
	for _, d := range damages {
		if d.name != "sound data overwritten" && d.name != "junk put in" {
			continue
		}
		t.Run(d.name, func(t *testing.T) {
			b := d.do(slices.Clone(whole), at)
			got, want := readAll(t, open(t, b)), mpg123(t, b)
			if len(got) != len(want) {
				t.Fatalf("%d frames, mpg123 has %d", len(got), len(want))
			}
			after := d.good*1152 - 576 - 529
			if d, at := worst(got[after:], want[after:]); d > 1.1*lsb {
				t.Errorf("differs by %.2f steps %d frames behind the damage", d/lsb, at)
			}
		})
	}
}

// Files joined end to end are played to the end.
func TestJoined(t *testing.T) {
	t.Parallel()
	b := testFile(t, "cbr-stereo.mp3")
	r := open(t, slices.Concat(b, b))
	// 13 frames, the second file's tag frame, 13 frames.
	if want := 27*1152 - 576 - 529; r.Len() != want || r.Info().Extra != 14*1152 {
		t.Errorf("%d frames, %d of them extra, want %d and %d", r.Len(), r.Info().Extra, want, 14*1152)
	}
}

// A tag that promises more than the file can hold costs no memory.
func TestLyingCount(t *testing.T) {
	t.Parallel()
	b := slices.Clone(testFile(t, "cbr-stereo.mp3"))
	at := frameOffsets(t, b)
	binary.BigEndian.PutUint32(b[36+8:], 1<<31)
	clear(b[at[5] : at[5]+4])
	r := open(t, b)
	if len(r.ix.entries) > 14 {
		t.Errorf("%d entries for 13 MPEG frames", len(r.ix.entries))
	}
}
