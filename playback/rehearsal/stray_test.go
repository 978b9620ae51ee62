package rehearsal

import (
	"math/rand/v2"
	"slices"
	"testing"

	"drylane/playback/synth"
)

// strayBangs returns the frames of the music at which a bang sounds that is not in
// the plan: where what is left of the recording without the plan holds the first
// 10 ms of one, at half its level or more.
func strayBangs(heard, plan map[int]float64, sound []float64, rate int) (at []int) {
	n, last := min(len(sound), rate/100), 0
	for m := range heard {
		last = max(last, m)
	}
	left := make([]float64, last+1+n)
	for m, v := range heard {
		left[m] = v - plan[m]
	}
	energy := 0.0
	for _, v := range sound[:n] {
		energy += v * v
	}
	best, top := -1, 0.5*energy
	for m := range last + 1 {
		sum := 0.0
		for i, v := range sound[:n] {
			sum += left[m+i] * v
		}
		if sum > top {
			best, top = m, sum
		}
		if best >= 0 && (m == best+n || m == last) { // no place nearby fits better
			at = append(at, best)
			for i, v := range sound { // what else is there may lie under it
				if best+i < len(left) {
					left[best+i] -= v
				}
			}
			best, top = -1, 0.5*energy
		}
	}
	return at
}

// The listening itself: a bang more than the plan's is found, by itself or on top of
// another, and noise is none.
func TestStrayBangsAreFound(t *testing.T) {
	t.Parallel()
	const rate = 48000
	sound := synth.Bang(synth.Candle, rate)
	add := func(m map[int]float64, at int) {
		for i, v := range sound {
			m[at+i] += v
		}
	}
	rng := rand.New(rand.NewPCG(3, 5))
	plan, heard := map[int]float64{}, map[int]float64{}
	for m := range 3 * rate {
		heard[m] = (rng.Float64() - 0.5) / 1000
	}
	for _, at := range []int{rate / 2, rate, 2 * rate} {
		add(plan, at)
		add(heard, at)
	}
	if got := strayBangs(heard, plan, sound, rate); len(got) > 0 {
		t.Errorf("stray bangs at %v where there is none", got)
	}
	want := []int{rate + rate/4, 2*rate + 700}
	for _, at := range want {
		add(heard, at)
	}
	if got := strayBangs(heard, plan, sound, rate); !slices.Equal(got, want) {
		t.Errorf("stray bangs at %v, want %v", got, want)
	}
}
