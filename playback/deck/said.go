package deck

import (
	"fmt"
	"slices"
	"sync/atomic"

	"drylane/show"
	"drylane/show/session"
	"drylane/show/words"
)

// A witness keeps what somebody at the console, or of the crew, saw or heard of the cues.
// What an earlier run of the session fired was commanded, too.
type witness struct {
	said  show.Sayings
	fired []atomic.Bool
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
	next, n, err := d.with(w)
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

// with is what was said, with one saying more.
func (d *Deck) with(w show.Saying) (next show.Sayings, changed int, err error) {
	return d.seen.said.With(w, len(d.cfg.LogCues), func(i int) string { return d.cfg.LogCues[i].Position }, d.Commanded)
}

// takeCrew logs something of the crew, and takes down what a member saw. The same said
// twice is said once. It leaves the message line alone: that may say why the run is held.
func (d *Deck) takeCrew(data session.Data) {
	if data.Saw == show.NobodySaid {
		d.entryBy(show.ByCrew, session.KindCrew, data)
		return
	}
	e := d.made(d.t.Heard(), show.ByCrew, session.KindSaid, data)
	w, _ := e.Saying()
	if slices.Contains(d.seen.said.Who(w.Cue, w.Saw), w.By) {
		return
	}
	next, _, err := d.with(w)
	if err != nil {
		why := fmt.Sprintf("cannot say that of cue %s: %v", show.Clean(data.Cue), err)
		d.entryBy(show.ByCrew, session.KindRefused, session.Data{Asked: "say", Text: why, Member: data.Member, Role: data.Role})
		return
	}
	d.seen.said = next
	d.log.put(e)
}

// Commanded reports whether a run of this session has fired cue i of the plan. It returns at
// once. Safe to call from any goroutine.
func (d *Deck) Commanded(i int) bool { return i < len(d.seen.fired) && d.seen.fired[i].Load() }

// saw notes that a cue has fired.
func (d *Deck) saw(cue int) { d.seen.fired[cue].Store(true) }
