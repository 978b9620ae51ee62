package robust

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// Data and certified values: NIST StRD, linear regression, data set Norris.
func TestLeastSquaresNorris(t *testing.T) {
	t.Parallel()
	x := []float64{0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5}
	y := []float64{0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2}
	f := LeastSquares(x, y)
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"slope", f.Slope, 1.00211681802045},
		{"intercept", f.Intercept, -0.262323073774029},
		{"error of the slope", f.SlopeSE, 0.000429796848199937},
		{"error of the intercept", f.InterceptSE, 0.232818234301152},
		{"residual standard deviation", f.SD, 0.884796396144373},
	} {
		if math.Abs(c.got/c.want-1) > 1e-10 {
			t.Errorf("%s %.15g, want %.15g", c.name, c.got, c.want)
		}
	}
}

func TestLeastSquaresFewPoints(t *testing.T) {
	t.Parallel()
	if f := LeastSquares(nil, nil); f != (Fit{}) {
		t.Errorf("no points: %+v", f)
	}
	if f := LeastSquares([]float64{3}, []float64{5}); f != (Fit{Intercept: 5}) {
		t.Errorf("one point: %+v", f)
	}
	if f := LeastSquares([]float64{3, 3}, []float64{5, 7}); f != (Fit{Intercept: 6}) {
		t.Errorf("one x: %+v", f)
	}
}

// What package align asks of lines, in seconds.
const (
	width    = 1e-3
	maxSlope = 2e-3
	floor    = 20e-6
)

// A line with 10 us of scatter is found although six windows in ten lie
// anywhere within the search.
func TestLineOutliers(t *testing.T) {
	t.Parallel()
	for seed := range uint64(50) {
		rnd := rand.New(rand.NewPCG(seed, 9))
		var x, y, w []float64
		slope, level := 1e-4*(2*rnd.Float64()-1), 0.02*(2*rnd.Float64()-1)
		for i := range 100 {
			x, w = append(x, 6*float64(i)), append(w, 1)
			if rnd.IntN(10) < 6 {
				y = append(y, 0.06*(2*rnd.Float64()-1))
			} else {
				y = append(y, level+slope*x[i]+10e-6*rnd.NormFloat64())
			}
		}
		f, on := Line(x, y, w, width, maxSlope, floor)
		if math.Abs(f.Slope-slope) > 0.1e-6 || math.Abs(f.Intercept-level) > 20e-6 || len(on) < 25 {
			t.Errorf("seed %d: slope %.3g, level %.6f, %d windows; want %.3g, %.6f", seed, f.Slope, f.Intercept, len(on), slope, level)
		}
	}
}

// A line added to all points is added to the fit.
func TestLineFollowsShift(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(4, 30).Draw(t, "n")
		shift := rapid.Float64Range(-0.05, 0.05).Draw(t, "shift")
		tilt := rapid.Float64Range(-1e-3, 1e-3).Draw(t, "tilt")
		seed := rapid.Uint64().Draw(t, "seed")
		rnd := rand.New(rand.NewPCG(seed, 1))
		var x, y, moved, w []float64
		for i := range n {
			x, w = append(x, 5*float64(i)), append(w, 1)
			y = append(y, 30e-6*rnd.NormFloat64())
			moved = append(moved, y[i]+shift+tilt*x[i])
		}
		f, _ := Line(x, y, w, width, maxSlope, floor)
		g, _ := Line(x, moved, w, width, maxSlope, floor)
		if math.Abs(g.Slope-f.Slope-tilt) > 1e-9 || math.Abs(g.Intercept-f.Intercept-shift) > 1e-9 {
			t.Fatalf("%+v became %+v", f, g)
		}
	})
}
