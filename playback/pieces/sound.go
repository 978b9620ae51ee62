package pieces

import (
	"math"
	"slices"

	"drylane/playback/locate"
)

// A Sound is a recording at locate.Rate, as long as an hour: 58 MB of it.
type Sound struct {
	narrow  *locate.Narrow
	samples []int16
	room    []float32
}

// fullScale is the step of a sample that is kept: there is room for what a filter makes
// of clipped sound.
const fullScale = 24000

// NewSound makes one for a recording of so many frames a second.
func NewSound(rate int) (*Sound, error) {
	n, err := locate.NewNarrow(rate)
	return &Sound{narrow: n}, err
}

// Expect makes room for so many seconds.
func (s *Sound) Expect(seconds float64) {
	s.samples = slices.Grow(s.samples, int(min(seconds+1, locate.MostLength)*locate.Rate))
}

// Write takes the next frames.
func (s *Sound) Write(frames [][2]float64) { s.keep(s.narrow.Write(s.room[:0], frames)) }

// Close takes the recording to have ended.
func (s *Sound) Close() {
	s.keep(s.narrow.Flush(s.room[:0]))
	s.room = nil
}

func (s *Sound) keep(x []float32) {
	for _, v := range x {
		s.samples = append(s.samples, int16(max(math.MinInt16, min(math.MaxInt16, math.Round(fullScale*float64(v))))))
	}
	s.room = x
}

// Length is in seconds.
func (s *Sound) Length() float64 { return float64(len(s.samples)) / locate.Rate }

// At fills dst with samples from one on, silence outside, and returns how many there are.
func (s *Sound) At(dst []float32, from int) (n int) {
	for i := range dst {
		dst[i] = 0
		if k := from + i; k >= 0 && k < len(s.samples) {
			dst[i] = float32(s.samples[k]) / fullScale
			n = i + 1
		}
	}
	return n
}
