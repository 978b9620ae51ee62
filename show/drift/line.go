package drift

import (
	"math"
	"slices"
)

// A Rate is how fast the residual grows along the show.
type Rate struct {
	N int
	// Slope is in seconds of residual a second of cue list, with its 95 %
	// interval; positive: the cues come later and later. NaN below 3 pairs.
	Slope, Low, High float64
	// Grows says that the slope cannot be chance (1 in 1000) and moves the
	// cues by half a nudge or more over the stretch that was tapped.
	Grows bool
}

// PerMinute is the slope in milliseconds a minute.
func (r Rate) PerMinute() float64 { return r.Slope * 60e3 }

// TheilSen returns the median of the slopes of all pairs of points with
// different x, and Sen's interval of 95 % for it; all NaN when there is no such
// pair.
func TheilSen(x, y []float64) (slope, low, high float64) {
	b := theilSen(x, y, 0.95)
	return b.centre, b.low, b.high
}

// theilSen returns the median of the slopes of all pairs of points with
// different x, with Sen's interval at the given level. Level is 0 when there
// is no such pair. The interval widens to all slopes when the points are few.
// Sen, J. Am. Stat. Assoc. 63:1379-1389, 1968.
func theilSen(x, y []float64, level float64) bound {
	slopes := pairSlopes(x, y)
	n := len(slopes)
	if n == 0 {
		return bound{math.NaN(), math.NaN(), math.NaN(), 0}
	}
	half := normalQuantile((1+level)/2) * math.Sqrt(kendallVariance(x, y))
	low := int(math.RoundToEven((float64(n)-half)/2)) - 1
	high := int(math.RoundToEven((float64(n) + half) / 2))
	return bound{middle(slopes), slopes[max(low, 0)], slopes[min(high, n-1)], level}
}

func pairSlopes(x, y []float64) []float64 {
	slopes := make([]float64, 0, len(x)*(len(x)-1)/2)
	for i := range x {
		for j := i + 1; j < len(x); j++ {
			if dx := x[j] - x[i]; dx != 0 {
				slopes = append(slopes, (y[j]-y[i])/dx)
			}
		}
	}
	slices.Sort(slopes)
	return slopes
}

// kendallVariance is the variance of the count of rising less falling pairs
// when y does not depend on x, less what ties in x and y take away (Sen 1968
// for ties in x, from memory; the same for y).
func kendallVariance(x, y []float64) float64 {
	v := func(k float64) float64 { return k * (k - 1) * (2*k + 5) }
	sum := v(float64(len(x)))
	for _, z := range [][]float64{x, y} {
		for _, k := range tieSizes(z) {
			sum -= v(float64(k))
		}
	}
	return max(sum, 0) / 18
}

// tieSizes returns the sizes of the groups of equal values.
func tieSizes(z []float64) []int {
	z = slices.Clone(z)
	slices.Sort(z)
	var sizes []int
	for i := 0; i < len(z); {
		j := i
		for j < len(z) && z[j] == z[i] {
			j++
		}
		sizes = append(sizes, j-i)
		i = j
	}
	return sizes
}

// A LeastSquares is a straight line through points, for checking the robust
// one against: it is best when the scatter is normal and nothing is amiss.
type LeastSquares struct {
	Intercept, InterceptSE float64
	Slope, SlopeSE         float64
	ResidualSD, R2         float64
}

// FitLine fits y = intercept + slope*x by ordinary least squares. With fewer
// than three points, or all at one x, the result is NaN.
func FitLine(x, y []float64) LeastSquares {
	n := float64(len(x))
	mx, my := mean(x), mean(y)
	var sxx, sxy, syy float64
	for i := range x {
		dx, dy := x[i]-mx, y[i]-my
		sxx, sxy, syy = sxx+dx*dx, sxy+dx*dy, syy+dy*dy
	}
	if len(x) < 3 || sxx == 0 {
		return nanLine()
	}
	l := LeastSquares{Slope: sxy / sxx}
	l.Intercept = my - l.Slope*mx
	sse := squares(x, y, l.Intercept, l.Slope)
	l.ResidualSD = math.Sqrt(sse / (n - 2))
	l.SlopeSE = l.ResidualSD / math.Sqrt(sxx)
	l.InterceptSE = l.ResidualSD * math.Sqrt(1/n+mx*mx/sxx)
	l.R2 = 1 - sse/syy
	return l
}

// FitThroughOrigin fits y = slope*x by least squares. R2 is about the origin.
// With fewer than two points, or all at x = 0, the result is NaN.
func FitThroughOrigin(x, y []float64) LeastSquares {
	var sxx, sxy, syy float64
	for i := range x {
		sxx, sxy, syy = sxx+x[i]*x[i], sxy+x[i]*y[i], syy+y[i]*y[i]
	}
	if len(x) < 2 || sxx == 0 {
		return nanLine()
	}
	l := LeastSquares{Slope: sxy / sxx}
	sse := squares(x, y, 0, l.Slope)
	l.ResidualSD = math.Sqrt(sse / float64(len(x)-1))
	l.SlopeSE = l.ResidualSD / math.Sqrt(sxx)
	l.R2 = 1 - sse/syy
	return l
}

func nanLine() LeastSquares {
	nan := math.NaN()
	return LeastSquares{nan, nan, nan, nan, nan, nan}
}

func squares(x, y []float64, intercept, slope float64) float64 {
	var sum float64
	for i := range x {
		d := y[i] - intercept - slope*x[i]
		sum += d * d
	}
	return sum
}

func mean(x []float64) float64 {
	var sum float64
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}
