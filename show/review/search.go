package review

import (
	"math"
	"slices"
	"time"
)

// Reach is the largest shift either way that is looked for.
const Reach = 5 * time.Second / 2

// fewest is the least number of moments that a fit is made of.
const fewest = 8

// temper is what a nat of worth counts for: cues of one show repeat each
// other, as does music, so that they tell less than as many free ones.
const temper = 0.7

// What shifts are likely, before the music is heard.
const (
	smallShifts = 5.0 // seconds: the scale by which small ones are likelier
	// tenths is the part of the shifts that are whole tenths of a second, the
	// steps in which lists are moved; tenthScatter is how well they show.
	tenths       = 0.5
	tenthScatter = 8 * time.Millisecond
	// inPlace is by how much a whole list is likelier where it should be than
	// at another tenth, in nats.
	inPlace        = 2.0
	inPlaceScatter = 20 * time.Millisecond
)

// likely is the log of how likely a shift is, but for a constant.
func likely(shift time.Duration) float64 {
	const tenth = time.Second / 10
	off := (shift - shift.Round(tenth)).Seconds()
	return math.Log(1-tenths+tenths*tenth.Seconds()*bell(off, tenthScatter)) - shift.Abs().Seconds()/smallShifts
}

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
	for i := range c.Score {
		c.Score[i] = t.sum(moments, c.Shift(i)) / float64(len(moments))
	}
	return c
}

// fit finds the shift within Reach of centre that the moments fit best.
func (t *train) fit(moments []time.Duration, centre time.Duration) Fit {
	f := Fit{Shift: centre, Moments: len(moments)}
	if len(moments) < fewest {
		return f
	}
	c := t.curve(moments, centre)
	logs := make([]float64, len(c.Score))
	n := float64(len(moments)) * temper
	for i, s := range c.Score {
		logs[i] = n*s + likely(c.Shift(i)-centre)
	}
	f.settle(t, moments, c, logs)
	return f
}

// settle chooses the shift of a curve with the highest log of its chance.
func (f *Fit) settle(t *train, moments []time.Duration, c Curve, logs []float64) {
	best := slices.Index(logs, slices.Max(logs))
	f.Confidence = share(logs, best)
	f.Shift, f.Met = t.refine(moments, c.Shift(best))
}

// share is the part of all chances, given as logs, that lies about the best.
// That the moments have nothing to do with the music is as likely as that they
// have, before it is heard.
func share(logs []float64, best int) float64 {
	near := 0.0
	all := float64(len(logs)) * math.Exp(-logs[best])
	about := int(2 * scatter / grid)
	for i, v := range logs {
		p := math.Exp(v - logs[best])
		all += p
		if i >= best-about && i <= best+about {
			near += p
		}
	}
	return near / all
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
