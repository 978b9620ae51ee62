// Package review checks a cue list against the accents of its music: how far
// each cue lies from one, and whether the list, a position or a stretch of the
// show is early or late as a whole.
//
// A cue's moment is its effect time: when the audience should see it. All
// differences are cue less music: positive is late, negative early.
//
// Not every cue belongs to an accent, and not every accent has a cue. The
// package therefore looks for the places at which a list may belong, and works out
// the chance of each (places.go): a logistic model of what is heard there
// (evidence.go) and of what shifts are likely before anything is heard (prior.go).
//
//	repeats from beat to beat, and is one       how well the cues fit the accents there,
//	observation, however many cues there are    by the taste that the list has (taste.go)
//	                                            whether short notes lead to where the
//	                                            cues are, and what begins there is held
//	                                            whether another sound begins there, or
//	                                            another bass: chords change on the beat
//	does not repeat, and counts in full         how far the list fits better there than
//	                                            whole periods away (repeat.go)
//	                                            large moments on loud accents: calibres
//	                                            and numbers of cues
//	                                            cues before the first sound or behind
//	                                            the last
//
// Section changes are none of it: that cues fall silent or crowd where the music
// changes is in how well they fit, and no more is known of it from lists.
//
// Where that leaves several places and none of them is in place, that is what is told,
// with the places: the list is out of place, by which of them the music does not say.
//
// Whether the list is for this music at all is told by what fits when it is played
// faster or slower (survey.go). Where one position belongs is asked of the rest of the
// list (beside.go): how its cues fit, and whether positions fire together or take turns
// (company.go). It is deterministic.
package review

import (
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
	// Turn is by how much what sounds then is another sound than before, Bass that of
	// the bass alone: of these, too, only the order matters.
	Turn, Bass float64
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

// A Fit is the shift at which cues most likely belong to the music.
type Fit struct {
	Shift time.Duration // positive: the cues are late
	// Moments is how many moments the cues make (those closer than oneMoment
	// count once), Met how many of them meet an accent at the shift.
	Moments, Met int
	// Confidence is the chance, 0 to 1, that the shift is right: by how well the
	// cues fit there and elsewhere and by what shifts are likely (prior.go), times
	// the chance that the cues have to do with this music at all.
	Confidence float64
	// Out is the chance that the cues are for this music and not in place, whatever
	// the shift.
	Out float64
	// Rivals are other shifts that are as good by the music alone, or that are
	// needed to be sure that the right one is among them; likeliest first.
	Rivals []Rival
	// Ambiguous says that the music does not tell the shift from its rivals.
	Ambiguous bool
}

// A Rival is a shift that may be right as well.
type Rival struct {
	Shift  time.Duration
	Chance float64 // 0 to 1
	// Better says that by the music alone it is clearly better: only that shifts of
	// its size are rare speaks against it.
	Better bool
}

// Sure is how likely must be what is told. A place of the whole list is told from
// surelyPlaced on, if the music does not say that another is as good: on music that nothing here was tuned to (command trial
// counts), of lists in their place or shifted by up to a quarter of a second, the
// likeliest shift was right
//
//	at a confidence of 0.40 to 0.60    18 in  31
//	                   0.60 to 0.80       23 in  46
//	                   0.80 to 0.90       33 in  50
//	                   0.90 to 0.95       30 in  39
//	                   0.95 to 0.98       52 in  65
//	                   0.98 and more     451 in 463
//
// so that below 0.98 a confidence promises more than it keeps. Of facts of any kind from
// 0.95 on, where lists also grow by 0.02 or 0.1 % or have one position off, 96 in 100
// were right. A shift of more than half the
// shortest period that the music has, which 0.18 s nearly always is, may as well be one
// the other way: it is told of half the lists of 120 cues and more, and of most others
// that they are out of place. Of none in place was either told.
const (
	Sure         = 0.95
	surelyPlaced = 0.98
)

// Found reports whether the fit is to be believed.
func (f Fit) Found() bool { return f.Confidence >= surelyPlaced && !f.Ambiguous }

// OutOfPlace reports whether the cues are surely not in place, though by how much is
// not told.
func (f Fit) OutOfPlace() bool { return f.Out >= Sure && !f.Found() && f.Shift.Abs() > within }

// A Position is the fit of one position's cues.
type Position struct {
	Name string
	Fit
	Apart bool // the fit is another than the show's
}

// Found reports whether the fit is to be believed, beside the rest of the list: of one
// position what is likely is right as often as it says.
func (p Position) Found() bool { return p.Confidence >= Sure && !p.Ambiguous }

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

// A review is a report in the making.
type review struct {
	*Ear
	cues  []show.Cue
	tilt  line // the growth that is taken out before anything else is fitted
	train *train
	extra map[string]time.Duration // shift of positions that stand apart, beyond the show's
	line  line
}

func (r *review) report() Report {
	all := r.moments(func(show.Cue) bool { return true })
	var rep Report
	rep.Show, r.train, rep.Curve = r.survey(all)
	if r.tilt = r.steep(all); r.tilt.slope != 0 {
		rep.Show, r.train, _ = r.survey(r.moments(func(show.Cue) bool { return true }))
	}
	r.fitAll(&rep)
	if r.tilt.slope != 0 && !rep.Rate.Grows {
		// What looked like growth is none.
		r.tilt, r.extra, rep.Positions, rep.Sections = line{}, nil, nil, nil
		rep.Show, r.train, _ = r.survey(all)
		r.fitAll(&rep)
	}
	rep.Cues = r.judgeCues(&rep)
	rep.Verdicts = r.verdicts(&rep)
	return rep
}

// fitAll fits all but the whole list, which was fitted.
func (r *review) fitAll(rep *Report) {
	r.fitPositions(rep, rep.Show.Shift)
	if len(r.extra) > 0 {
		before := rep.Show.Shift
		rep.Show, r.train, _ = r.survey(r.rest())
		if (rep.Show.Shift - before).Abs() > leastApart {
			// What stands apart had misled the fit of the whole list.
			r.fitPositions(rep, rep.Show.Shift)
		}
	}
	for i, p := range rep.Positions {
		if p.Apart {
			r.extra[p.Name] = rep.Positions[i].Shift - rep.Show.Shift
		}
	}
	r.fitRate(rep)
	r.fitSections(rep)
}

// rest are the moments of the positions that do not stand apart.
func (r *review) rest() []time.Duration {
	return r.moments(func(c show.Cue) bool { _, apart := r.extra[c.Position]; return !apart })
}

// oneMoment is how far apart cues may be and still count as one moment.
const oneMoment = 20 * time.Millisecond

// moments returns the distinct effect times of the cues chosen, in order, less
// what they are late by as it grows.
func (r *review) moments(chosen func(show.Cue) bool) []time.Duration {
	var out []time.Duration
	for _, c := range r.cues {
		if chosen(c) {
			out = append(out, c.EffectAt-r.tilt.at(c.EffectAt))
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
