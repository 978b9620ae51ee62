package ltc_test

import (
	"context"
	"fmt"

	"drylane/playback/ltc"
	"drylane/show/timebase"
)

// Ten seconds of timecode from one hour on, held for 12 frames after four
// seconds, as a companion track would be.
func ExampleAnalyse() {
	e, err := ltc.NewEncoder(ltc.Config{
		Rate: timebase.FPS25, SampleRate: 48000, Start: timebase.Timecode{H: 1}, Length: 480000,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := ltc.Analyse(context.Background(), &held{e, 4 * 48000, 12 * 1920}, 48000, ltc.Left)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d frames, %s to %s, at %s\n", r.Frames, r.First, r.Last, r.Rate)
	for _, f := range r.Faults {
		fmt.Printf("at %s: %s\n", r.Time(f.Sample), f)
	}
	// Output:
	// 250 frames, 01:00:00:00 to 01:00:09:24, at 25
	// at 4s: no timecode between 01:00:03:24 and 01:00:04:00, for 12 frames
	// at 4.48s: after 01:00:03:24 comes 01:00:04:00, 12 frames behind
}

// held stops e at a sample for some samples of silence.
type held struct {
	*ltc.Encoder
	at, silence int
}

func (h *held) Stream(samples [][2]float64) (int, bool) {
	left := h.at - h.Position()
	switch {
	case left > 0:
		return h.Encoder.Stream(samples[:min(left, len(samples))])
	case left < 0 || h.silence == 0:
		return h.Encoder.Stream(samples)
	}
	n := min(h.silence, len(samples))
	h.silence -= n
	clear(samples[:n])
	return n, true
}
