package drift

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// leastCost tries every one-to-one pairing in order.
func leastCost(cost [][]float64, loose float64, tap, accent int) float64 {
	if tap == len(cost) {
		return 0
	}
	best := loose + leastCost(cost, loose, tap+1, accent)
	for j := accent; j < len(cost[tap]); j++ {
		best = min(best, cost[tap][j]+leastCost(cost, loose, tap+1, j+1))
	}
	return best
}

func TestMatchIsTheBestInOrder(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		taps, accents := rapid.IntRange(0, 5).Draw(t, "taps"), rapid.IntRange(0, 6).Draw(t, "accents")
		// Whole numbers, so that sums are exact in any order; 9 forbids a pair.
		cost := make([][]float64, taps)
		for i := range cost {
			for range accents {
				c := float64(rapid.IntRange(0, 9).Draw(t, "cost"))
				if c == 9 {
					c = math.Inf(1)
				}
				cost[i] = append(cost[i], c)
			}
		}
		loose := float64(rapid.IntRange(0, 9).Draw(t, "loose"))
		m := matcher{cost: func(i, j int) float64 { return cost[i][j] }, loose: loose}
		pairs, total := m.match(taps, accents)
		if want := leastCost(cost, loose, 0, 0); total != want {
			t.Fatalf("total %v, the best is %v", total, want)
		}
		var sum float64
		last := -1
		for i, j := range pairs {
			if j < 0 {
				sum += loose
				continue
			}
			if j <= last {
				t.Fatalf("pairs %v are not one to one and in order", pairs)
			}
			last = j
			sum += cost[i][j]
		}
		if sum != total {
			t.Fatalf("pairs %v cost %v, not %v", pairs, sum, total)
		}
	})
}

// Cutting a show into stretches must not change what is paired.
func TestStretchesPairAsOne(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		times := func(name string, most int) []float64 {
			var out []float64
			at := 0.0
			for range rapid.IntRange(0, most).Draw(t, name) {
				at += float64(rapid.IntRange(1, 1500).Draw(t, "gap")) / 1000
				out = append(out, at)
			}
			return out
		}
		y, when := times("taps", 8), times("accents", 12)
		expected := make([]placed, len(when))
		for i, at := range when {
			expected[i] = placed{&accent{}, at, 2}
		}
		const sigma, gate = 0.06, 0.06 * gateScatters
		m := matcher{loose: gateScatters * gateScatters / 2}
		m.cost = func(i, j int) float64 {
			d := y[i] - when[j]
			if math.Abs(d) > gate {
				return math.Inf(1)
			}
			return d * d / (2 * sigma * sigma)
		}
		_, want := m.match(len(y), len(when))
		var got float64
		for i, j := range pairUp(y, expected, make([]Tap, len(y)), sigma) {
			if j < 0 {
				got += m.loose
			} else {
				got += m.cost(i, j)
			}
		}
		if math.Abs(got-want) > 1e-9 {
			t.Fatalf("in stretches %v, as one %v", got, want)
		}
	})
}
