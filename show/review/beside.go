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
// is off, however well its cues lie on accents.
const (
	// worthSpread is the variance of what a moment is worth at one shift less at
	// another.
	worthSpread = 3.0
	// habitSpread is that of a position's fit about the others', for however many
	// cues.
	habitSpread = 0.03
)

// curves returns how well each position fits at every shift up to twice Reach either
// way of shift, less what it fits in the mean.
func (c crew) curves(e *Ear, shift time.Duration) [][]float64 {
	out := make([][]float64, len(c.own))
	for k, own := range c.own {
		at := make([]time.Duration, len(own))
		for i, m := range own {
			at[i] = m - shift
		}
		out[k] = c.trains[k].taken(at, 2*Reach, e)
	}
	return out
}

// rest is the mean curve of all positions but one, and the moments it is made of.
func (c crew) rest(but int, curves [][]float64) (curve []float64, moments float64) {
	curve = make([]float64, len(curves[but]))
	for k, x := range curves {
		if k == but {
			continue
		}
		n := float64(len(c.own[k]))
		moments += n
		for i, v := range x {
			curve[i] += n * v
		}
	}
	for i := range curve {
		curve[i] /= max(1, moments)
	}
	return curve, moments
}

// standsBeside finds where position k most likely belongs, and reports whether that is
// clearly not where the rest of the list does, which is late by common.
func (c crew) standsBeside(k int, curves [][]float64, common time.Duration) (Fit, bool) {
	own := c.own[k]
	f := Fit{Shift: common, Moments: len(own)}
	rest, others := c.rest(k, curves)
	if len(own) < fewest || others < fewest {
		return f, false
	}
	found := besideRest(curves[k], rest, worthSpread*(1/float64(len(own))+1/others)+habitSpread)
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
// should if it belonged there, or to the other: the rest tells, about 0. variance is
// that of such a difference.
func besideRest(part, rest []float64, variance float64) []place {
	middle, reach := len(part)/2, int(Reach/grid)
	at := peaks(part, middle-reach, middle+reach)
	if !slices.ContainsFunc(at, func(i int) bool { return time.Duration(max(i-middle, middle-i))*grid < leastApart }) {
		at = append(at, middle)
	}
	base, top := middle, math.Inf(-1)
	for _, i := range at {
		if v := part[i]/(2*variance) + ofPosition.log(time.Duration(i-middle)*grid); v > top {
			base, top = i, v
		}
	}
	var out []place
	for _, i := range at {
		better := part[i] - part[base]
		here := rest[middle] - rest[middle+base-i]
		there := rest[middle] - rest[middle+i-base]
		shift := time.Duration(i-middle) * grid
		p := place{shift: shift, prior: ofPosition.log(shift)}
		p.log = p.prior + ((better+there)*(better+there)-(better-here)*(better-here))/(2*variance)
		out = append(out, p)
	}
	return ordered(out)
}
