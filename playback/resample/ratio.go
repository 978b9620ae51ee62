package resample

import "fmt"

// A Ratio relates frame counts at two sample rates exactly: L output frames
// last as long as M input frames, in lowest terms. All its arithmetic is in
// integers and holds for centuries of sound.
type Ratio struct{ L, M int64 }

// NewRatio returns the ratio from in to out frames a second. Rates run from 1
// to 10 MHz.
func NewRatio(in, out int) (Ratio, error) {
	const most = 10_000_000
	for _, rate := range []int{in, out} {
		if rate < 1 || rate > most {
			return Ratio{}, fmt.Errorf("a sample rate of %d Hz cannot be converted: want 1 to %d", rate, most)
		}
	}
	g := gcd(int64(in), int64(out))
	return Ratio{L: int64(out) / g, M: int64(in) / g}, nil
}

// Out returns how many output frames begin within the first in input frames:
// output frame n lies at input time n*M/L, so it is in*L/M rounded up.
func (r Ratio) Out(in int64) int64 { return -floorDiv(-in*r.L, r.M) }

// In returns how many whole input frames have passed when out output frames
// have: out*M/L rounded down. For a multiple of L it is exact.
func (r Ratio) In(out int64) int64 { return floorDiv(out*r.M, r.L) }

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// floorDiv is a/b rounded towards minus infinity; b > 0.
func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
