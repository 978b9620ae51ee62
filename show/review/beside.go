package review

import (
	"math"
	"slices"
	"time"
)

// Whether one position stands apart is asked of the rest of the list: a position is
// made by the same hand, so that where it belongs it fits the music as well as the
// others do where they belong, and so far from there as badly as they do so far from
// theirs. If the others fit alike half a beat away, nothing tells by how much this one
// is off, however well its cues lie on accents. The same is asked of whether it fires
// with others, or never does.
//
// spreads are of what a moment is worth, of gap, turn and bass of what it meets, and of
// its meeting a moment of another position: in that, positions differ by design.
var spreads = [...]spread{{3.0, 0.03}, {0.11, 0.001}, {0.2, 0.002}, {0.2, 0.002}, {0.25, 0.2}}

// A spread is the variance of how much better a position fits at one place than at
// another, about what the rest tells.
type spread struct {
	moment float64 // for one moment
	habit  float64 // for however many
}

func (s spread) of(few float64) float64 { return s.moment*few + s.habit }

// tails is how much more often than by the normal distribution a difference is large:
// Student's degrees of freedom.
const tails = 16

// odd is how much speaks against a difference off what is expected, in nats.
func odd(off, variance float64) float64 {
	return (tails + 1) / 2.0 * math.Log(1+off*off/(tails*variance))
}

// curves returns how well each position fits at every shift up to twice Reach either
// way of shift, less what it fits in the mean.
func (c crew) curves(e *Ear, shift time.Duration) [][][]float64 {
	out := make([][][]float64, len(c.own))
	for k := range c.own {
		at := thinned(c.own[k], mostMoments)
		for i := range at {
			at[i] -= shift
		}
		out[k] = append(out[k], c.trains[k].taken(at, 2*Reach, e))
		for _, figure := range e.figures() {
			out[k] = append(out[k], e.taken(figure, at, 2*Reach))
		}
		out[k] = append(out[k], e.taken(c.together(k, shift, e), at, 2*Reach))
	}
	return out
}

// rest are the mean curves of all positions but one, and the moments they are made of.
func (c crew) rest(but int, curves [][][]float64) (mean [][]float64, moments float64) {
	for k, own := range c.own {
		if k != but {
			moments += float64(len(own))
		}
	}
	for f, like := range curves[but] {
		sum := make([]float64, len(like))
		for k, of := range curves {
			if k == but {
				continue
			}
			for i, v := range of[f] {
				sum[i] += float64(len(c.own[k])) * v / max(1, moments)
			}
		}
		mean = append(mean, sum)
	}
	return mean, moments
}

// standsBeside finds where position k most likely belongs, and reports whether that is
// clearly not where the rest of the list does, which is late by common.
func (c crew) standsBeside(k int, curves [][][]float64, common time.Duration) (Fit, bool) {
	own := c.own[k]
	f := Fit{Shift: common, Moments: len(own)}
	rest, others := c.rest(k, curves)
	if len(own) < fewest || others < fewest {
		return f, false
	}
	found := besideRest(curves[k], rest, 1/float64(min(len(own), mostMoments))+1/others)
	home := 0.0
	for i := range found {
		if found[i].shift.Abs() < leastApart {
			home += found[i].chance
		}
		found[i].shift += common
	}
	f.take(found)
	f.Shift, f.Met = c.trains[k].refine(own, f.Shift)
	return f, home < 1-Sure && (f.Shift-common).Abs() >= leastApart
}

// besideRest returns where a part may belong beside the rest, likeliest first. Of any
// two places it is asked by how much it fits better at the one, and by how much it
// should if it belonged there, or to the other: the rest tells, about 0. Both are given
// by the curves of all figures; few is the sum of the reciprocals of their moments.
//
// All places are compared with one. What fits neither of two tells nothing of them, so
// that this must be the likeliest: it is looked for.
func besideRest(part, rest [][]float64, few float64) []place {
	middle, reach := len(part[0])/2, int(Reach/grid)
	at := peaks(part[0], middle-reach, middle+reach)
	if !slices.ContainsFunc(at, func(i int) bool { return time.Duration(max(i-middle, middle-i))*grid < leastApart }) {
		at = append(at, middle)
	}
	base, top := middle, math.Inf(-1)
	for _, i := range at {
		if v := part[0][i]/(2*spreads[0].of(few)) + ofPosition.log(time.Duration(i-middle)*grid); v > top {
			base, top = i, v
		}
	}
	const tries = 4
	for try := 1; ; try++ {
		out := besidePlace(part, rest, at, base, few)
		likeliest := middle + int(out[0].shift/grid)
		if likeliest == base || try == tries {
			return out
		}
		base = likeliest
	}
}

// besidePlace compares the places at with that at base.
func besidePlace(part, rest [][]float64, at []int, base int, few float64) []place {
	middle := len(part[0]) / 2
	var out []place
	for _, i := range at {
		shift := time.Duration(i-middle) * grid
		p := place{shift: shift, prior: ofPosition.log(shift)}
		p.log = p.prior
		for f := range part {
			better := part[f][i] - part[f][base]
			here := rest[f][middle] - rest[f][middle+base-i]
			there := rest[f][middle] - rest[f][middle+i-base]
			variance := spreads[f].of(few)
			p.log += odd(better+there, variance) - odd(better-here, variance)
		}
		out = append(out, p)
	}
	return ordered(out)
}
