package timebase

import (
	"testing"

	"pgregory.net/rapid"
)

func TestFrameRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.SampledFrom([]int{22050, 24000, 32000, 44100, 48000, 88200, 96000, 192000}).Draw(t, "rate")
		f := Frame(rapid.Int64Range(-1<<40, 1<<40).Draw(t, "frame"))
		if got := FrameAt(f.At(rate), rate); got != f {
			t.Fatalf("frame %d at %d came back as %d", f, rate, got)
		}
	})
}
