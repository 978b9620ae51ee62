package locate

import (
	"fmt"
	"math"
	"slices"
	"testing"
)

// sine is a tone on both sides.
func sine(hz float64, rate, frames int) [][2]float64 {
	out := make([][2]float64, frames)
	for i := range out {
		v := math.Sin(2 * math.Pi * hz * float64(i) / float64(rate))
		out[i] = [2]float64{v, v}
	}
	return out
}

// TestNarrow: tones come out at their moments and levels, whatever the rate and the size
// of what is written; what is above the band comes out 40 dB down or more.
func TestNarrow(t *testing.T) {
	t.Parallel()
	for _, rate := range []int{8000, 11025, 22050, 44100, 48000, 96000} {
		for _, hz := range []float64{100, 1000, 3000, 4800} {
			if hz > 0.45*float64(rate) {
				continue
			}
			n, err := NewNarrow(rate)
			if err != nil {
				t.Fatal(err)
			}
			in := sine(hz, rate, rate)
			var out []float32
			for len(in) > 0 {
				some := min(len(in), 1+len(out)%1777)
				out, in = n.Write(out, in[:some]), in[some:]
			}
			if out = n.Flush(out); math.Abs(float64(len(out)-Rate)) > 1 {
				t.Errorf("%d Hz: %d samples of a second", rate, len(out))
			}
			worst, top := 0.0, 0.0
			for k := 200; k < Rate-200; k++ {
				worst = max(worst, math.Abs(float64(out[k])-math.Sin(2*math.Pi*hz*float64(k)/Rate)))
				top = max(top, math.Abs(float64(out[k])))
			}
			if hz < Rate/2 && worst > 0.02 || hz > Rate/2 && top > 0.01 {
				t.Errorf("%g Hz at %d: off by %.4f, level %.4f", hz, rate, worst, top)
			}
		}
	}
}

func TestNarrowRefuses(t *testing.T) {
	t.Parallel()
	if _, err := NewNarrow(3999); err == nil || fmt.Sprint(err) != "the sample rate is 3999 Hz; wanted 4000 to 1000000" {
		t.Error(err)
	}
}

// TestNarrowSilencesNoNumbers: what is no number does not spread.
func TestNarrowSilencesNoNumbers(t *testing.T) {
	t.Parallel()
	n, err := NewNarrow(8000)
	if err != nil {
		t.Fatal(err)
	}
	out := n.Flush(n.Write(nil, [][2]float64{{math.NaN(), 0}, {math.Inf(1), 0}, {1, 1}}))
	if slices.ContainsFunc(out, func(v float32) bool { return v != v || v > 2 }) {
		t.Error(out)
	}
}
