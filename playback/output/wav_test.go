package output

import (
	"errors"
	"math"
	"os"
	"testing"

	"drylane/playback"

	beepwav "github.com/faiface/beep/wav"
)

// TestWAVIsCut holds in the middle of what is queued and reads the file back
// with beep's decoder: what was played, once, to the bit and without a fade.
func TestWAVIsCut(t *testing.T) {
	f, err := os.CreateTemp(t.TempDir(), "")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	out, err := WAV(Options{Rate: 44100}, f, playback.WAVInt16)
	if err != nil {
		t.Fatal(err)
	}
	src := noise(3000, 1)
	for i := range src {
		for c := range src[i] {
			src[i][c] = float64(int(src[i][c]*32768)) / 32768
		}
	}
	steps := []error{
		out.Write(src[:1000]), out.Start(), out.Write(src[1000:2000]),
		hold(out), out.Write(src[2500:]), hold(out), // never started: dropped
		out.Write(src[2000:]), out.Start(), out.Close(),
	}
	if err := errors.Join(steps...); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Seek(0, 0); err != nil {
		t.Fatal(err)
	}
	s, _, err := beepwav.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	got := make([][2]float64, 4000)
	n, _ := s.Stream(got)
	if n != len(src) {
		t.Fatalf("%d frames in the file, want %d", n, len(src))
	}
	for i, want := range src {
		for c := range want {
			// In sixteen-bit steps; beep v1.1 takes 65535 of them for 1.
			if g, w := math.Round(got[i][c]*65535), want[c]*32768; g != w {
				t.Fatalf("frame %d, channel %d is %v, want %v", i, c, g, w)
			}
		}
	}
}

func hold(out playback.Output) error {
	_, err := out.Hold()
	return err
}
