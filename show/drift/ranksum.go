package drift

import (
	"math"
	"slices"
)

// shiftBetween returns how much larger the values of x are than those of y:
// the median of all differences, with the interval of the Mann-Whitney
// statistic. Level is 0 when the samples are too small for the level asked.
// Hollander and Wolfe, Nonparametric Statistical Methods, chapter 4 (from
// memory).
func shiftBetween(x, y []float64, level float64) bound {
	if len(x) == 0 || len(y) == 0 {
		return bound{}
	}
	diff := make([]float64, 0, len(x)*len(y))
	for _, a := range x {
		for _, b := range y {
			diff = append(diff, a-b)
		}
	}
	slices.Sort(diff)
	drop, got := rankSumDrop(len(x), len(y), 1-level)
	return bound{middle(diff), diff[drop], diff[len(diff)-1-drop], got}
}

// rankSumDrop returns how many differences to drop at each end so that what is
// left covers the shift with a chance of at least 1-alpha, and that chance. It
// is 0, 0 when dropping none covers less.
func rankSumDrop(m, n int, alpha float64) (drop int, level float64) {
	if m+n > exactRanks {
		fm, fn := float64(m), float64(n)
		sd := math.Sqrt(fm * fn * (fm + fn + 1) / 12)
		drop := int(fm*fn/2 - 0.5 - normalQuantile(1-alpha/2)*sd)
		if drop < 0 {
			return 0, 0
		}
		return drop, 1 - alpha
	}
	return tailDrop(rankSumChances(m, n), alpha)
}

// rankSumChances returns the chance of each count of pairs in which a value of
// the sample of m exceeds one of the sample of n, when all orders are alike.
// The counts are those of partitions in an m by n box: the coefficients of
// the Gaussian binomial, built up one factor (1-q^(n+i))/(1-q^i) at a time.
func rankSumChances(m, n int) []float64 {
	p := make([]float64, m*n+1)
	p[0] = 1
	for i := 1; i <= m; i++ {
		for s := m * n; s >= n+i; s-- {
			p[s] -= p[s-n-i]
		}
		for s := i; s <= m*n; s++ {
			p[s] += p[s-i]
		}
	}
	var sum float64
	for _, v := range p {
		sum += v
	}
	for s := range p {
		p[s] /= sum
	}
	return p
}

// A bound is an estimate with an interval and the level that it holds with.
type bound struct{ centre, low, high, level float64 }

// exactRanks is the most values that the exact distribution of the statistic
// is worked out for; beyond it the normal one differs by less than one step.
const exactRanks = 60

// tailDrop finds the largest number k of values of a symmetric statistic, from
// 0 up, whose chances sum to at most alpha/2 at each end, and returns k-1 (the
// interval that excludes them) and the level; 0, 0 when k is 0.
func tailDrop(chances []float64, alpha float64) (drop int, level float64) {
	var tail float64
	k := 0
	for ; k < len(chances)/2 && tail+chances[k] <= alpha/2; k++ {
		tail += chances[k]
	}
	if k == 0 {
		return 0, 0
	}
	return k - 1, 1 - 2*tail
}

// normalQuantile is the inverse of the standard normal distribution.
func normalQuantile(p float64) float64 { return math.Sqrt2 * math.Erfinv(2*p-1) }
