package hear

import (
	"cmp"
	"math"
	"slices"
	"time"

	"drylane/show"
	"drylane/show/field"
)

// A hearing is a report in the making. All its times are seconds of a recording.
type hearing struct {
	show       *show.Show
	recordings []Recording
	due        []due      // in order of recording and time
	states     []CueState // of each of the show's cues: why it is not among due
	bangs      []bang     // in order of recording and time
	terms      []*term    // of the model; the first is of the whole show
	middle     float64    // of the show, by effect
}

// A due is a cue that ought to be heard.
type due struct {
	cue       int // in the show
	recording int
	at        float64 // when its effect is due
	listed    float64 // when it would be if its sound had no way to go
	shell     bool    // it is heard from its break, and before that from its lift
	lift      float64 // when that is due
	effect    float64 // by the list
	sd        float64 // the scatter of its moment about the model
	out       float64 // a standard deviation, of what is known of the field
	chance    float64 // that it is found if it was fired
}

// Scatter of what is fired: of ground effects, and of time fuses as a part of their
// time. From memory.
const (
	groundScatter = 0.012
	fuseScatter   = 0.013
)

// expect works out when each cue is due in which recording.
func (h *hearing) expect(f *field.Field, audience int) {
	h.states = make([]CueState, len(h.show.Cues))
	for i, c := range h.show.Cues {
		a := f.Arrival(c, audience)
		switch {
		case a.From == field.FromNowhere:
			h.states[i] = Silent
			continue
		case !a.Known:
			h.states[i] = NotKnown
			continue
		}
		h.states[i] = NotInside
		for k, r := range h.recordings {
			lit, ok := r.heard(c)
			at := lit + (c.Prefire + a.After).Seconds()
			if !ok || at < 0 || at > r.Length.Seconds() {
				continue
			}
			d := due{cue: i, recording: k, at: at, listed: lit + c.Prefire.Seconds(), effect: c.EffectAt.Seconds(), out: a.Out.Seconds(),
				chance: 0.7}
			d.sd = math.Hypot(math.Hypot(groundScatter, fuseScatter*c.Prefire.Seconds()), ownOut*d.out)
			if a.From == field.FromBreak {
				d.shell, d.lift = true, lit+a.Lift.Seconds()
			}
			h.due = append(h.due, d)
			h.states[i] = NotHeard
			break
		}
	}
	slices.SortStableFunc(h.due, func(a, b due) int {
		return cmp.Or(cmp.Compare(a.recording, b.recording), cmp.Compare(a.at, b.at))
	})
}

// heard is the second of the recording in which the music of a cue's ignition is heard.
// A shell may have been lit before the recording began.
func (r Recording) heard(c show.Cue) (float64, bool) {
	lit := c.IgniteAt()
	for i, p := range r.Pieces {
		if lit < p.To && (lit >= p.From || i > 0 && lit >= r.Pieces[i-1].To || i == 0 && c.EffectAt >= p.From) {
			return p.Heard(lit).Seconds(), true
		}
	}
	// The music ends with its last note, the show may not.
	if n := len(r.Pieces); n > 0 && lit >= r.Pieces[n-1].To && lit < r.Pieces[n-1].To+tail {
		return r.Pieces[n-1].Heard(lit).Seconds(), true
	}
	return 0, false
}

// tail is how far behind the last music that was heard cues are still looked for.
const tail = 3 * time.Second

// music is the moment of the soundtrack at a second of the recording: that of the hold
// while one lasts.
func (r Recording) music(at float64) time.Duration {
	d := time.Duration(at * float64(time.Second))
	var out time.Duration
	for i, p := range r.Pieces {
		if i == 0 || d >= p.At {
			out = p.From + time.Duration(float64(d-p.At)/p.Rate)
			if i+1 < len(r.Pieces) {
				out = min(out, max(p.To, p.From))
			}
		}
	}
	return out
}
