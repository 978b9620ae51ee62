package deck

import (
	"fmt"
	"slices"

	"drylane/show"
	"drylane/show/session"
	"drylane/show/words"
)

// A witness keeps what somebody at the console saw or heard of the cues. What an
// earlier run of the session fired was commanded, too.
type witness struct {
	said  show.Sayings
	fired []bool
}

// witness takes down what was asked to be said.
func (d *Deck) witness(by show.By, a show.ScriptAction) {
	w := show.Saying{Saw: a.Saw, Cue: -1, Position: a.Command.Group.Name}
	data := session.Data{Saw: a.Saw, GroupBy: a.Command.Group.By, Name: a.Command.Group.Name}
	what := w.Position
	if w.Position == "" {
		what = "cue " + show.Clean(a.Text)
		w.Cue = slices.IndexFunc(d.cfg.LogCues, func(c session.CueLine) bool { return c.ID == a.Text })
		data.Cue, data.Index = a.Text, &w.Cue
	}
	next, n, err := d.seen.said.With(w, len(d.cfg.LogCues), func(i int) string { return d.cfg.LogCues[i].Position }, d.commanded)
	if err != nil {
		why := fmt.Sprintf("cannot say that of %s: %v", what, err)
		d.refused++
		d.entryBy(by, session.KindRefused, session.Data{Asked: "say", Text: why})
		d.say(Alarm, why)
		return
	}
	d.seen.said = next
	d.entryBy(by, session.KindSaid, data)
	if w.Position != "" {
		what += ", " + words.Count(n, "cue")
	}
	d.say(Plain, what+": "+a.Saw.String())
}

// commanded reports whether a run of this session has fired cue i.
func (d *Deck) commanded(i int) bool { return i < len(d.seen.fired) && d.seen.fired[i] }

// saw notes that a cue has fired.
func (d *Deck) saw(cue int) {
	if d.seen.fired == nil {
		d.seen.fired = make([]bool, len(d.plan.Cues))
	}
	d.seen.fired[cue] = true
}
