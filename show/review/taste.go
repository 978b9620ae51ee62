package review

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// A taste is how a list chooses the accents for its cues, and how closely it
// keeps to them. The cues themselves tell which it is.
type taste struct {
	// what figure of the accents is looked at; of its rank, which is 1 for the
	// highest of the piece, power is taken: at 0 any accent does.
	what  func(Accent) float64
	power float64
	// scatter is the cues' about their accents, a standard deviation.
	scatter time.Duration
	// company is the part of the cues on accents that come together with a cue
	// of another position.
	company float64
}

// scatters are those that are tried: cues put to the frame, with care, by hand.
// Of music rendered from scores most onsets are found within 4 ms, nearly all
// within 10 ms of their place (measured).
var scatters = []time.Duration{6 * time.Millisecond, 12 * time.Millisecond, 24 * time.Millisecond}

// tastes are those that are tried, of one scatter.
func tastes(scatter time.Duration) []taste {
	out := []taste{{what: func(Accent) float64 { return 0 }, scatter: scatter}}
	for _, what := range []func(Accent) float64{
		func(a Accent) float64 { return a.Strength },
		func(a Accent) float64 { return a.Rise },
		func(a Accent) float64 { return a.Loud },
		func(a Accent) float64 { return a.Loud + a.Gain },
	} {
		for _, power := range []float64{2, 5} {
			out = append(out, taste{what: what, power: power, scatter: scatter})
		}
	}
	return out
}

// companies are the values of company that are tried.
var companies = [...]float64{0, 0.1, 0.2, 0.4, 0.8}

// anyAccent is the part of the cues that may stand on any accent, whatever the
// taste.
const anyAccent = 0.05

// draw is how likely each accent is to have a cue, but for a common factor.
func (t taste) draw(accents []Accent) []float64 {
	out := ranked(accents, t.what)
	total := 0.0
	for i, u := range out {
		out[i] = math.Pow(u, t.power)
		total += out[i]
	}
	for i := range out {
		out[i] = anyAccent + (1-anyAccent)*out[i]*float64(len(out))/total
	}
	return out
}

// ranked returns the ranks of accents by a figure of theirs.
func ranked(accents []Accent, what func(Accent) float64) []float64 {
	figures := make([]float64, len(accents))
	for i, a := range accents {
		figures[i] = what(a)
	}
	return ranks(figures)
}

// ranks returns the place of each figure among all, from just above 0 to just
// below 1; equal ones share theirs.
func ranks(figures []float64) []float64 {
	order := make([]int, len(figures))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(figures[a], figures[b]) })
	out := make([]float64, len(figures))
	for i := 0; i < len(order); {
		j := i
		for ; j < len(order) && figures[order[j]] == figures[order[i]]; j++ {
		}
		for _, k := range order[i:j] {
			out[k] = float64(i+j) / 2 / float64(len(order))
		}
		i = j
	}
	return out
}

// fine is the step of a kernel.
const fine = time.Millisecond / 4

// kernel is the density of a cue at steps of fine off its accent.
func (t taste) kernel() [meets/fine + 1]float64 {
	var out [meets/fine + 1]float64
	for i := range out {
		d := (time.Duration(i)*fine + fine/2).Seconds()
		out[i] = (1-blurred)*bell(d, t.scatter) + blurred*bell(d, max(t.scatter, blur))
	}
	return out
}

// bell is the density of the normal distribution, d seconds off.
func bell(d float64, scatter time.Duration) float64 {
	z := d / scatter.Seconds()
	return math.Exp(-z*z/2) / (scatter.Seconds() * math.Sqrt(2*math.Pi))
}
