package companion

import (
	"path/filepath"
	"testing"

	"drylane/playback/folder"
	"drylane/playback/ltc"
	"drylane/show"
	"drylane/show/timebase"
)

// The timecode that the console shows is the one in the file that goes to the
// field: where each frame that is decoded from the built file begins, to the
// sample either way that a measured edge may be off, begins its label.
func TestTimecodeNow(t *testing.T) {
	for _, side := range []string{
		"timecode 25 01:00:00:00",
		"timecode 29.97 drop 00:00:59;20, offset 0.5 s",
		"timecode 23.976 23:59:59:00, offset -1.25 s, gain -6 dB",
	} {
		dir := trackShow(t, "silence", side)
		to, _, _, err := runTracks(t.Context(), t, dir)
		if err != nil {
			t.Fatal(err)
		}
		l, err := folder.Open(dir)
		if err != nil {
			t.Fatal(err)
		}
		defer l.Close()
		now := TimecodeOf(l.Show, l.Music.Rate(), timebase.Frame(l.Music.Len()))
		mono, rate := samples(t, filepath.Join(to, "out.wav"), 1)
		var found []ltc.Frame
		dec, err := ltc.NewDecoder(rate, func(f ltc.Frame) { found = append(found, f) })
		if err != nil {
			t.Fatal(err)
		}
		dec.Write(mono)
		dec.Flush()
		if len(found) < 500 {
			t.Fatalf("%s: %d frames found", side, len(found))
		}
		c, err := show.ParseChannel(side)
		if err != nil {
			t.Fatal(err)
		}
		for i, f := range found {
			at, want := timebase.Frame(f.Sample())+1, f.Timecode.String()+" @"+c.Rate.String()
			if got := now(at); got != want {
				t.Fatalf("%s: frame %d of the music: %s, want %s", side, at, got, want)
			}
			if i > 0 && now(at-2) == want {
				t.Fatalf("%s: %s stands at frame %d of the music already", side, want, at-2)
			}
		}
		if got := now(0); c.Offset > 0 && got != "--:--:--:-- @"+c.Rate.String() {
			t.Errorf("%s: %s before the first frame", side, got)
		}
		if last := timebase.Frame(len(mono) - 1); now(last) != now(last+rateFrames) {
			t.Errorf("%s: goes on after the music", side)
		}
	}
	if TimecodeOf(&show.Show{Tracks: []show.Track{{File: "a.wav", Left: "music"}}}, 48000, 48000) != nil {
		t.Error("timecode in a show that has none")
	}
}

// rateFrames is a second or so.
const rateFrames = 48000
