// Package review holds a cue list against the accents of its music: how far
// each cue lies from one, and whether the list, a position or a stretch of the
// show is early or late as a whole.
//
// A cue's moment is its effect time: when the audience should see it. All
// differences are cue less music: positive is late, negative early.
//
// Not every cue belongs to an accent, and not every accent has a cue. The
// package therefore asks, for every shift of the cues, how many accents they
// meet, and believes the best shift only as far as it beats the other shifts
// (survey.go), cues that have nothing to do with the music, and the same cues
// at other places of it (luck.go). The list itself tells which accents it prefers
// (taste.go); the cues of the other positions help to tell where those of one
// position belong (company.go). It is deterministic.
package review

import (
	"slices"
	"time"

	"drylane/show"
)

// An Accent is a moment at which something begins in the music.
type Accent struct {
	At time.Duration
	// Strength is 1 for the strong accents of the piece; it may be higher.
	Strength float64
	// Rise, Loud and Gain are further figures of what sets in: how much, how
	// loud, how much louder than before. Only their order matters.
	Rise, Loud, Gain float64
}

// Music is what a cue list is held against.
type Music struct {
	Length  time.Duration
	Accents []Accent        // in order of time
	Beats   []time.Duration // in order; may be empty
}

// A Report is what was found.
type Report struct {
	// Show is the fit of all cues but those of positions that stand apart.
	Show Fit
	// Positions are in order of name, Sections in order of time.
	Positions []Position
	Sections  []Section
	Rate      Rate
	Cues      []CueFit // by effect time
	Curve     Curve    // of the whole list, before anything was taken out
	Verdicts  []Verdict
}

// A Fit is the shift at which cues meet the most accents.
type Fit struct {
	Shift time.Duration // positive: the cues are late
	// Moments is how many moments the cues make (those closer than oneMoment
	// count once), Met how many of them meet an accent at the shift.
	Moments, Met int
	// Confidence is the chance, 0 to 1, that the shift is not an accident: the
	// lesser of its share among all shifts in reach, and of how often the same
	// cues at random other places of the music fit worse.
	Confidence float64
}

// Sure is the confidence from which a fit is told as a fact.
const Sure = 0.95

// Found reports whether the fit is to be believed.
func (f Fit) Found() bool { return f.Confidence >= Sure }

// A Position is the fit of one position's cues.
type Position struct {
	Name string
	Fit
	Apart bool // the fit is another than the show's
}

// A Section is the fit of a stretch of the show.
type Section struct {
	From, To time.Duration // of its first and last cue
	Accents  int           // in it
	Fit
	Apart bool // the fit is another than the show's
	Few   bool // there are too few accents to tell
}

// A Rate tells whether the difference grows along the show.
type Rate struct {
	Grows bool
	From  time.Duration // where the growth begins
	Slope float64       // seconds of lateness a second of show
}

// PerMinute is the growth in a minute of show.
func (r Rate) PerMinute() time.Duration {
	return time.Duration(r.Slope * float64(time.Minute)).Round(100 * time.Microsecond)
}

// Check holds cues against music. Cues need not be in order.
func Check(cues []show.Cue, music Music) Report {
	cues = slices.Clone(cues)
	slices.SortStableFunc(cues, func(a, b show.Cue) int { return int(a.EffectAt - b.EffectAt) })
	r := review{cues: cues, music: music}
	return r.report()
}

// A review is a report in the making.
type review struct {
	cues  []show.Cue
	music Music
	train *train
	extra map[string]time.Duration // shift of positions that stand apart, beyond the show's
	line  line
}

func (r *review) report() Report {
	all := r.moments(func(show.Cue) bool { return true })
	var rep Report
	rep.Show, r.train, rep.Curve = r.survey(all)
	r.fitPositions(&rep, rep.Show.Shift)
	if len(r.extra) > 0 {
		before := rep.Show.Shift
		rep.Show, r.train, _ = r.survey(r.rest())
		if (rep.Show.Shift - before).Abs() > leastApart {
			// What stands apart had misled the fit of the whole list.
			r.fitPositions(&rep, rep.Show.Shift)
		}
	}
	for i, p := range rep.Positions {
		if p.Apart {
			r.extra[p.Name] = rep.Positions[i].Shift - rep.Show.Shift
		}
	}
	r.fitRate(&rep)
	r.fitSections(&rep)
	rep.Cues = r.judgeCues(&rep)
	rep.Verdicts = r.verdicts(&rep)
	return rep
}

// rest are the moments of the positions that do not stand apart.
func (r *review) rest() []time.Duration {
	return r.moments(func(c show.Cue) bool { _, apart := r.extra[c.Position]; return !apart })
}

// oneMoment is how far apart cues may be and still count as one moment.
const oneMoment = 20 * time.Millisecond

// moments returns the distinct effect times of the cues chosen, in order.
func (r *review) moments(chosen func(show.Cue) bool) []time.Duration {
	var out []time.Duration
	for _, c := range r.cues {
		if chosen(c) {
			out = append(out, c.EffectAt)
		}
	}
	return merged(out)
}

// merged takes those of moments in order that are not one with that before.
func merged(moments []time.Duration) []time.Duration {
	out := moments[:0]
	for _, m := range moments {
		if n := len(out); n == 0 || m-out[n-1] > oneMoment {
			out = append(out, m)
		}
	}
	return out
}
