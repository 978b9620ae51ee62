package drift

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Thirteen trials of a vaccine: cases and the rest among the vaccinated, and among the
// others (Colditz et al. 1994; the counts as in Table I of van Houwelingen, Arends and
// Stijnen 2002).
var trials = [][4]float64{
	{4, 119, 11, 128}, {6, 300, 29, 274}, {3, 228, 11, 209}, {62, 13536, 248, 12619}, {33, 5036, 47, 5761},
	{180, 1361, 372, 1079}, {8, 2537, 10, 619}, {505, 87886, 499, 87892}, {29, 7470, 45, 7232},
	{17, 1699, 65, 1600}, {186, 50448, 141, 27197}, {5, 2493, 3, 2338}, {27, 16886, 29, 17825},
}

// The logarithms of the trials' odds ratios have the one mean -0.436 with a standard
// error of 0.042 (van Houwelingen et al. 2002, section 3.1). With those of their risk
// ratios, R's metafor has Q = 152.233 and, by DerSimonian and Laird, tau² = 0.3088, mean
// -0.7141, standard error 0.1787 (from memory).
func TestPoolAgainstTrials(t *testing.T) {
	t.Parallel()
	var odds, risks []measured
	for _, c := range trials {
		a, b, c, d := c[0], c[1], c[2], c[3]
		odds = append(odds, measured{math.Log(a * d / (b * c)), 1/a + 1/b + 1/c + 1/d})
		risks = append(risks, measured{math.Log(a / (a + b) * (c + d) / c), 1/a - 1/(a+b) + 1/c - 1/(c+d)})
	}
	mean, weight, _ := weighed(odds, 0)
	near(t, "mean", mean, -0.436, 0.001)
	near(t, "standard error", math.Sqrt(1/weight), 0.042, 0.01)
	p := pool(risks)
	near(t, "Q", p.q, 152.233, 1e-5)
	near(t, "tau²", p.tau, 0.3088, 2e-4)
	near(t, "mean", p.mean, -0.7141, 1e-4)
	near(t, "standard error", math.Sqrt(p.variance), 0.1787, 3e-4)
	if p.chance > 1e-20 {
		t.Errorf("chance %g", p.chance)
	}
}

// Three figures, 1, 2 and 6, of variance 1 each. By hand: mean 3, Q = 4+1+9 = 14 with two
// degrees of freedom, whose chance is e^-7; tau = (14-2)/(3-3/3) = 6, so that the
// variance of the mean is 7/3. The 95 % points of chi-squared with 1, 2 and 3 degrees of
// freedom are 3.841, 5.991 and 7.815 (NIST/SEMATECH handbook, 1.3.6.7.4).
func TestPoolByHand(t *testing.T) {
	t.Parallel()
	p := pool([]measured{{1, 1}, {2, 1}, {6, 1}})
	near(t, "mean", p.mean, 3, 1e-12)
	near(t, "Q", p.q, 14, 1e-12)
	near(t, "chance", p.chance, math.Exp(-7), 1e-12)
	near(t, "tau", p.tau, 6, 1e-12)
	near(t, "variance", p.variance, 7.0/3, 1e-12)
	for free, point := range map[int]float64{1: 3.841, 2: 5.991, 3: 7.815} {
		// One figure off by x and the others by nothing has Q = x² free/(free+1).
		list := make([]measured, free+1)
		for i := range list {
			list[i].variance = 1
		}
		list[0].value = math.Sqrt(point * float64(free+1) / float64(free))
		near(t, "chance of the 95 % point", pool(list).chance, 0.05, 1e-3)
	}
	if one := pool([]measured{{4, 2}}); one.mean != 4 || one.variance != 2 || one.tau != 0 || one.chance != 1 {
		t.Errorf("of one figure: %+v", one)
	}
}

// The mean lies among the figures, is never less sure for a further figure that agrees,
// and moves with all of them.
func TestPoolProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 8).Draw(t, "n")
		var list, moved []measured
		lo, hi := math.Inf(1), math.Inf(-1)
		for range n {
			m := measured{rapid.Float64Range(-3, 3).Draw(t, "value"), rapid.Float64Range(1e-4, 1).Draw(t, "variance")}
			list, moved = append(list, m), append(moved, measured{m.value + 1, m.variance})
			lo, hi = min(lo, m.value), max(hi, m.value)
		}
		p := pool(list)
		if p.mean < lo-1e-9 || p.mean > hi+1e-9 || p.chance < 0 || p.chance > 1 {
			t.Fatalf("%+v of %v", p, list)
		}
		if q := pool(moved); math.Abs(q.mean-p.mean-1) > 1e-6 || math.Abs(q.chance-p.chance) > 1e-6 {
			t.Fatalf("moved by 1: %+v, before %+v", q, p)
		}
		if q := pool(append(list, measured{p.mean, 1})); q.variance > p.variance+1e-12 {
			t.Fatalf("with one more that agrees: %+v, before %+v", q, p)
		}
	})
}
