package drift

import (
	"math"
	"math/big"
	"testing"
)

// Hollander and Wolfe, Nonparametric Statistical Methods, 1973, pages 69 and
// 76: permeability of a membrane at term and at 12 to 26 weeks. Shift 0.305,
// interval -0.15 to 0.76 (from memory).
func TestShiftBetweenPermeability(t *testing.T) {
	t.Parallel()
	term := []float64{0.80, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46}
	early := []float64{1.15, 0.88, 0.90, 0.74, 1.21}
	b := shiftBetween(term, early, 0.95)
	near(t, "shift", b.centre, 0.305, 1e-9)
	near(t, "low", b.low, -0.15, 1e-9)
	near(t, "high", b.high, 0.76, 1e-9)
}

// Critical values of U, two-sided at 5 %, as in any table of the Mann-Whitney
// test (from memory).
func TestRankSumCriticalValues(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ m, n, critical int }{
		{4, 4, 0}, {5, 5, 2}, {4, 8, 4}, {8, 8, 13}, {10, 10, 23}, {15, 15, 64}, {20, 20, 127},
	} {
		drop, level := rankSumDrop(c.m, c.n, 0.05)
		if drop != c.critical || level < 0.95 {
			t.Errorf("U(%d, %d) = %d at level %.4f, want %d", c.m, c.n, drop, level, c.critical)
		}
	}
	if _, level := rankSumDrop(3, 3, 0.05); level != 0 {
		t.Errorf("three against three reach a level of %v, no table has one", level)
	}
}

// One order in (m+n over m) has every value of one sample below the other.
func TestRankSumChancesCountOrders(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ m, n int64 }{{1, 1}, {3, 9}, {12, 7}, {30, 30}} {
		orders, _ := new(big.Float).SetInt(new(big.Int).Binomial(c.m+c.n, c.m)).Float64()
		p := rankSumChances(int(c.m), int(c.n))
		near(t, "the least count", p[0], 1/orders, 1e-9)
		near(t, "the greatest count", p[len(p)-1], 1/orders, 1e-9)
	}
}

// The exact and the normal interval meet where one takes over from the other.
func TestRankSumNormalTakesOver(t *testing.T) {
	t.Parallel()
	exact, _ := tailDrop(rankSumChances(31, 30), 0.05)
	normal, _ := rankSumDrop(31, 30, 0.05)
	if math.Abs(float64(exact-normal)) > 1 {
		t.Errorf("exact %d, normal %d", exact, normal)
	}
}
