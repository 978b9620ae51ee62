package drift

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// A measured is one figure with the variance of its error.
type measured struct{ value, variance float64 }

// A pooled is several figures for one thing made into one.
//
// Each figure is the thing plus an error of its own of known variance v, plus what sets
// one apart from the others, of a variance tau that nobody knows. Without the latter
// the best mean weighs each by 1/v (inverse variance); Cochran's Q (1954), the weighted
// squares about it, then is chi-squared with one degree of freedom less than there are
// figures. What Q has beyond that is tau, by DerSimonian and Laird (1986), and the mean
// is that with weights 1/(v+tau).
type pooled struct {
	mean, variance float64
	q              float64
	tau            float64 // a variance; 0 where they agree as well as their errors let them
	chance         float64 // of a Q as large where nothing sets them apart
}

// pool pools one figure or more. Variances are above 0.
func pool(list []measured) pooled {
	mean, weight, squares := weighed(list, 0)
	var p pooled
	for _, m := range list {
		p.q += (m.value - mean) * (m.value - mean) / m.variance
	}
	free := float64(len(list) - 1)
	p.chance = 1
	if free > 0 {
		p.chance = mathext.GammaIncRegComp(free/2, p.q/2)
		p.tau = math.Max(0, (p.q-free)/(weight-squares/weight))
	}
	p.mean, weight, _ = weighed(list, p.tau)
	p.variance = 1 / weight
	return p
}

// weighed is the mean with weights 1/(v+tau), the sum of the weights, and that of their
// squares.
func weighed(list []measured, tau float64) (mean, weight, squares float64) {
	for _, m := range list {
		w := 1 / (m.variance + tau)
		mean, weight, squares = mean+w*m.value, weight+w, squares+w*w
	}
	return mean / weight, weight, squares
}
