package review

import (
	"time"
)

// Reach is the largest shift either way that is looked for.
const Reach = 5 * time.Second / 2

// fewest is the least number of moments that a fit is made of.
const fewest = 8

// A Curve is the mean worth of the cues at each shift, in nats: 0 is what cues
// put anywhere are worth, above it they meet accents.
type Curve struct {
	From, Step time.Duration
	Score      []float64
}

// Shift is the shift at place i of the curve.
func (c Curve) Shift(i int) time.Duration { return c.From + time.Duration(i)*c.Step }

// curve tries all shifts within Reach of centre. A shift is what the cues are
// late by: a cue at t then belongs to the music at t less the shift.
func (t *train) curve(moments []time.Duration, centre time.Duration) Curve {
	n := int(Reach / grid)
	c := Curve{From: centre - time.Duration(n)*grid, Step: grid, Score: make([]float64, 2*n+1)}
	if len(moments) == 0 {
		return c
	}
	outside := make([]int, len(c.Score)+1) // moments that leave the music, and come back
	for _, m := range moments {
		// Its worth at shift i is worth[at-i].
		at := int((m - c.From + grid/2) / grid)
		from, to := max(0, min(at-len(t.worth)+1, len(c.Score))), min(len(c.Score)-1, at)
		outside[0]++
		if from > to {
			continue
		}
		outside[from]--
		outside[to+1]++
		for k, w := range t.worth[at-to : at-from+1] {
			c.Score[to-k] += float64(w)
		}
	}
	out := 0
	for i := range c.Score {
		out += outside[i]
		c.Score[i] = (c.Score[i] + float64(out)*stray) / float64(len(moments))
	}
	return c
}

// asGoodBy is by how many nats the music may speak for one place rather than for
// another and both still be as good: seven to one.
const asGoodBy = 2.0

// settle takes the likeliest of places, which are in order, and keeps those that
// stand beside it. belongs is the chance that any of them is right.
//
// A list that lies off every beat is wrong whichever beat it is for, and the least
// move that mends it may be told. That one on a beat is on the right one, or that it
// is off by more than it could be, must be told by the music. Nor is anything a fact
// of which the music says that another place is better.
func (f *Fit) settle(places []place, belongs float64) {
	best, own, sum := places[0], 0.0, 0.0
	f.Out = 0
	for _, p := range places {
		if p.shift.Abs() > within {
			f.Out += p.chance * belongs
		}
		if (p.shift - best.shift).Abs() <= oneMeeting {
			own += p.chance
		}
	}
	f.Shift, f.Confidence, f.Ambiguous = best.shift, own*belongs, own < Sure
	for _, p := range places {
		if (p.shift - best.shift).Abs() <= oneMeeting {
			continue
		}
		ahead := (p.log - p.prior) - (best.log - best.prior)
		if ahead >= -asGoodBy || own+sum < Sure {
			f.Rivals = append(f.Rivals, Rival{p.shift, p.chance * belongs, ahead > asGoodBy})
		}
		if ahead > asGoodBy || ahead >= -asGoodBy && (best.shift.Abs() <= within || p.shift.Abs() < best.shift.Abs()) {
			f.Ambiguous = true
		}
		sum += p.chance
	}
}

// refine returns the median difference of the moments that meet an accent at
// the shift, and their number.
func (t *train) refine(moments []time.Duration, shift time.Duration) (time.Duration, int) {
	d := t.differences(moments, shift)
	if len(d) == 0 {
		return shift, 0
	}
	return d[len(d)/2], len(d)
}
