package crewclock

import (
	"math"
	"slices"
	"time"
)

// Of section 7.2 and 7.3 of RFC 5905: how many samples the filter holds, and the
// dispersion of a place that has none.
const (
	Stages        = 8
	MaxDispersion = 16 * time.Second
)

// A stage is a place of the filter.
type stage struct {
	at         time.Duration // own clock, when the reply came
	offset     time.Duration
	delay      time.Duration
	dispersion time.Duration
	fresh      time.Duration // what the dispersion was when it came
}

// A Filter is the clock filter of section 10: of the last eight samples the one with
// the smallest delay tells the offset. Make one with NewFilter.
type Filter struct {
	tolerance float64       // in ppm
	stages    [Stages]stage // the latest first
	sorted    [Stages]stage // by delay
	n         int           // samples in it
	last      time.Duration // when the latest came
}

// NewFilter returns an empty filter for clocks whose rates differ by at most that
// many parts in a million: PHI of section 7.3, which is 15 there, of disciplined
// clocks.
func NewFilter(tolerance float64) *Filter {
	f := &Filter{tolerance: tolerance}
	for i := range f.stages {
		f.stages[i] = stage{delay: MaxDispersion, dispersion: MaxDispersion}
	}
	f.sorted = f.stages
	return f
}

// Add takes a sample that is whole and came after the one before.
func (f *Filter) Add(s Sample) {
	aged := growth(s.Came-f.last, f.tolerance)
	copy(f.stages[1:], f.stages[:Stages-1])
	for i := 1; i < Stages; i++ {
		f.stages[i].dispersion = min(MaxDispersion, f.stages[i].dispersion+aged)
	}
	fresh := s.dispersion(f.tolerance)
	f.stages[0] = stage{s.Came, s.Offset(), s.Delay(), fresh, fresh}
	f.last, f.n = s.Came, min(f.n+1, Stages)
	f.sorted = f.stages
	slices.SortStableFunc(f.sorted[:], func(a, b stage) int { return int(a.delay - b.delay) })
}

// Offset is that of the sample with the smallest delay.
func (f *Filter) Offset() time.Duration { return f.sorted[0].offset }

// Delay is the smallest.
func (f *Filter) Delay() time.Duration { return f.sorted[0].delay }

// Dispersion is the sum of those of the stages, each with half the weight of the one
// with a smaller delay: epsilon of section 10. It is large while the filter is not
// full.
func (f *Filter) Dispersion() time.Duration {
	var sum float64
	for i, s := range f.sorted {
		sum += float64(s.dispersion) / math.Exp2(float64(i+1))
	}
	return time.Duration(sum)
}

// Jitter is the root of the mean square of how far the other samples are from the
// chosen one: psi of section 10. It is 0 with fewer than two samples.
func (f *Filter) Jitter() time.Duration {
	if f.n < 2 {
		return 0
	}
	var sum float64
	for _, s := range f.sorted[1:f.n] {
		d := float64(s.offset - f.sorted[0].offset)
		sum += d * d
	}
	return time.Duration(math.Sqrt(sum / float64(f.n-1)))
}
