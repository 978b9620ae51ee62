package drift

import "math"

// A matcher pairs taps with accents one to one and in order, at the least
// cost. Nearest neighbours would pair two taps with one accent where accents
// are dense, and cross where a tap is early and the next late.
type matcher struct {
	// cost is what pairing tap i with accent j costs; +Inf forbids it.
	cost func(tap, accent int) float64
	// loose is what a tap without an accent costs. An accent without a tap
	// costs nothing: nobody taps every cue.
	loose float64
}

// match returns, for each tap, its accent or -1. Rows are the table of the
// least cost of pairing the first i taps with the first j accents; going back
// from its far corner tells the pairs. Among equal costs the later accent is
// left without a tap, then the tap is left loose. Takes and holds
// taps x accents steps, so callers pass a stretch of the show at a time.
func (m matcher) match(taps, accents int) (pairs []int, total float64) {
	w := accents + 1
	best := make([]float64, (taps+1)*w)
	for i := 1; i <= taps; i++ {
		best[i*w] = best[(i-1)*w] + m.loose
		for j := 1; j <= accents; j++ {
			best[i*w+j] = min(best[i*w+j-1], best[(i-1)*w+j]+m.loose, best[(i-1)*w+j-1]+m.cost(i-1, j-1))
		}
	}
	pairs = make([]int, taps)
	for i, j := taps, accents; i > 0; {
		switch here := best[i*w+j]; {
		case j > 0 && here == best[i*w+j-1]:
			j--
		case here == best[(i-1)*w+j]+m.loose:
			i--
			pairs[i] = -1
		default:
			i, j = i-1, j-1
			pairs[i] = j
		}
	}
	return pairs, best[taps*w+accents]
}

// A stretch is a run of taps and the accents within their reach, by index,
// ends excluded. No accent is in reach of two stretches.
type stretch struct{ tapLo, tapHi, accLo, accHi int }

// stretches cuts sorted taps, in seconds, and accents into runs that can be
// paired apart: no accent is within gate of taps of two of them.
func stretches(taps []float64, accents []placed, gate float64) []stretch {
	var out []stretch
	lo, hi := 0, 0
	for i, t := range taps {
		for lo < len(accents) && accents[lo].at < t-gate {
			lo++
		}
		hi = max(hi, lo)
		for hi < len(accents) && accents[hi].at <= t+gate {
			hi++
		}
		if n := len(out); n > 0 && lo < out[n-1].accHi {
			out[n-1].tapHi, out[n-1].accHi = i+1, hi
			continue
		}
		out = append(out, stretch{i, i + 1, lo, hi})
	}
	return out
}

// pairUp matches taps, for the moments y in ascending order, with the accents
// expected. Sigma is the scatter of a tap, in seconds; a pair may be
// gateScatters of it apart. The result holds each tap's accent, or -1.
func pairUp(y []float64, expected []placed, taps []Tap, sigma float64) []int {
	gate := gateScatters * sigma
	pairs := make([]int, 0, len(y))
	for _, s := range stretches(y, expected, gate) {
		m := matcher{
			cost: func(i, j int) float64 {
				p := expected[s.accLo+j]
				d := y[s.tapLo+i] - p.at
				if math.Abs(d) > gate || !p.takes(taps[s.tapLo+i]) {
					return math.Inf(1)
				}
				return d*d/(2*sigma*sigma) + crowding(p.share)
			},
			// An accent that stands alone is just worth pairing at the gate.
			loose: gateScatters * gateScatters / 2,
		}
		got, _ := m.match(s.tapHi-s.tapLo, s.accHi-s.accLo)
		for _, j := range got {
			if j >= 0 {
				j += s.accLo
			}
			pairs = append(pairs, j)
		}
	}
	return pairs
}

// crowding is what it costs to pair an accent for drawing only a share of its
// surroundings' taps: the log of how much rarer that makes it.
func crowding(share float64) float64 {
	return -math.Log(share / (2 * surroundings.Seconds()))
}
