// Package robust fits straight lines through points of which many may be anywhere.
package robust

import (
	"math"
	"slices"
)

// A Fit is a straight line through points, y = intercept + slope*x, with its
// standard errors and the standard deviation of the residuals (n-2 degrees of
// freedom; 0 for two points).
type Fit struct {
	Intercept, Slope     float64
	InterceptSE, SlopeSE float64
	SD                   float64
}

// LeastSquares fits a line. Fewer than two points, or points all at one x,
// give a level line through their mean.
func LeastSquares(x, y []float64) Fit {
	n := float64(len(x))
	if n == 0 {
		return Fit{}
	}
	mx, my := Mean(x), Mean(y)
	var sxx, sxy float64
	for i := range x {
		sxx += (x[i] - mx) * (x[i] - mx)
		sxy += (x[i] - mx) * (y[i] - my)
	}
	f := Fit{Intercept: my}
	if sxx > 0 {
		f.Slope = sxy / sxx
		f.Intercept = my - f.Slope*mx
	}
	if n > 2 && sxx > 0 {
		var rss float64
		for i := range x {
			e := y[i] - f.Intercept - f.Slope*x[i]
			rss += e * e
		}
		f.SD = math.Sqrt(rss / (n - 2))
		f.SlopeSE = f.SD / math.Sqrt(sxx)
		f.InterceptSE = f.SD * math.Sqrt(1/n+mx*mx/sxx)
	}
	return f
}

// consensus returns the line that passes within tol of the most points, of all
// lines through two points that lie a quarter of the span apart or more and
// whose slope is at most maxSlope. Points near the line count for more, and
// each point by its weight. More than half of the points may be anywhere.
func consensus(x, y, weight []float64, tol, maxSlope float64) Fit {
	best, bestScore := Fit{}, -1.0
	span := 0.0
	if len(x) > 0 {
		span = slices.Max(x) - slices.Min(x)
	}
	for i := range x {
		for j := i + 1; j < len(x); j++ {
			dx := x[j] - x[i]
			if dx == 0 || math.Abs(dx) < span/4 {
				continue
			}
			slope := (y[j] - y[i]) / dx
			if math.Abs(slope) > maxSlope {
				continue
			}
			f := Fit{Slope: slope, Intercept: y[i] - slope*x[i]}
			if s := support(f, x, y, weight, tol); s > bestScore {
				best, bestScore = f, s
			}
		}
	}
	return best
}

// support adds up the weights of the points near f, falling to 0 at tol.
func support(f Fit, x, y, weight []float64, tol float64) float64 {
	sum := 0.0
	for k := range x {
		e := (y[k] - f.Intercept - f.Slope*x[k]) / tol
		if e = e * e; e < 1 {
			sum += weight[k] * (1 - e)
		}
	}
	return sum
}

// near returns the indices of the points within tol of f.
func near(f Fit, x, y []float64, tol float64) []int {
	var in []int
	for k := range x {
		if math.Abs(y[k]-f.Intercept-f.Slope*x[k]) <= tol {
			in = append(in, k)
		}
	}
	return in
}

// Line is consensus followed by least squares over the points near it,
// trimmed twice at four robust standard deviations (never below floor). It
// returns the points that lie within tol of the final line.
func Line(x, y, weight []float64, tol, maxSlope, floor float64) (Fit, []int) {
	f := consensus(x, y, weight, tol, maxSlope)
	cut := tol
	for range 3 {
		in := near(f, x, y, cut)
		if len(in) < 2 {
			break
		}
		px, py := pick(x, in), pick(y, in)
		f = LeastSquares(px, py)
		dev := make([]float64, len(px))
		for i := range px {
			dev[i] = math.Abs(py[i] - f.Intercept - f.Slope*px[i])
		}
		cut = min(tol, max(floor, 4*1.4826*Median(dev)))
	}
	return f, near(f, x, y, tol)
}

func pick(v []float64, at []int) []float64 {
	out := make([]float64, len(at))
	for i, k := range at {
		out[i] = v[k]
	}
	return out
}

// Mean returns the mean of v, which is not empty.
func Mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

// Median returns the middle of v, which is left as it is; 0 for none.
func Median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	s := slices.Sorted(slices.Values(v))
	m := len(s) / 2
	if len(s)%2 == 1 {
		return s[m]
	}
	return (s[m-1] + s[m]) / 2
}
