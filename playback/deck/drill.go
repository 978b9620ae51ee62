package deck

import (
	"errors"
	"time"

	"drylane/playback"
	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/show/timebase"
)

// A Director says what befalls a run: a drill's. It is asked from the deck's
// own loop and must not wait for anything.
type Director interface {
	// Saw tells of what the run did.
	Saw(k show.EventKind, now time.Time)
	// Due returns the steps that are due, each once.
	Due(v drill.View) []drill.Step
	// Next returns when the next step is due, as the run stands: the frame of
	// music or the wall time. drill.Never and zero when there is no such step.
	Next() (timebase.Frame, time.Time)
}

// A RadioCall is a message from the field.
type RadioCall struct {
	At         time.Time
	From, Text string
}

// befallen is what has befallen a run.
type befallen struct {
	musicOff bool
	dead     map[show.Group]bool // the zero Group is all cues
	away     bool                // the sound device
	radio    []RadioCall
	over     bool

	unheard [2]float64 // peak of the music that was made silent since the meter last looked
}

// Befall lets a step of the instructor's befall the run. It returns at once.
// Safe to call from any goroutine.
func (d *Deck) Befall(s drill.Step) { d.inbox.put(request{befall: &s}) }

func (d *Deck) view() drill.View {
	return drill.View{State: d.t.State(), Heard: d.t.Heard(), Now: d.clock.Now()}
}

// direct lets befall the run what is due.
func (d *Deck) direct() {
	if d.cfg.Director == nil {
		return
	}
	for _, s := range d.cfg.Director.Due(d.view()) {
		d.befall(show.ByEngine, s)
	}
}

// nextBefalls returns the frame at which, in a running show, the next step is
// due, and the wall time at which one is; drill.Never and zero when none is.
func (d *Deck) nextBefalls() (timebase.Frame, time.Time) {
	if d.cfg.Director == nil {
		return drill.Never, time.Time{}
	}
	f, at := d.cfg.Director.Next()
	if !at.IsZero() { // a frame more, or the moment is never quite reached
		f = min(f, d.t.Heard()+timebase.FrameAt(at.Sub(d.clock.Now()), d.plan.Rate)+1)
	}
	return f, at
}

// befall lets one step befall the run. Nothing but the log is told of it.
func (d *Deck) befall(by show.By, s drill.Step) {
	d.entryBy(by, session.KindDrill, session.Data{Step: s.Name, Do: string(s.Do), From: s.From, Text: s.Text,
		Wants: string(s.Wants), GroupBy: groupOf(s).By, Name: groupOf(s).Name})
	b := &d.fate
	switch s.Do {
	case drill.Radio:
		b.radio = append(b.radio, RadioCall{d.clock.Now(), s.From, s.Text})
		if d.cfg.OnRadio != nil {
			d.cfg.OnRadio(s.From, s.Text)
		}
	case drill.MusicOff, drill.MusicOn:
		b.musicOff = s.Do == drill.MusicOff
	case drill.Dead:
		b.dead[s.Group] = true
		for i := d.t.Next(); i < d.t.Committed(); i++ {
			if d.isDead(i) {
				d.voices.Remove(i)
			}
		}
	case drill.Alive:
		delete(b.dead, s.Group)
	case drill.DeviceLost, drill.DeviceBack:
		b.away = s.Do == drill.DeviceLost
	case drill.Over:
		d.endDrill()
	}
}

// groupOf is the group that a step is about.
func groupOf(s drill.Step) show.Group {
	if s.Wants == drill.WantStandDown {
		return s.Of
	}
	return s.Group
}

// isDead reports whether what cue i lights does not go off.
func (d *Deck) isDead(i int) bool {
	for g := range d.fate.dead {
		if g == (show.Group{}) {
			return true
		}
		if k := d.plan.Group(g); k >= 0 && d.plan.In(i, k) {
			return true
		}
	}
	return false
}

// endDrill makes the show safe: what the trainee does from here on is another
// run.
func (d *Deck) endDrill() {
	d.fate.over = true
	c := show.Command{Action: show.Cut, By: show.ByEngine, Cause: show.CauseDrillOver}
	if s := d.t.State(); s != show.Safe && s != show.Ended {
		d.run(c, d.t.Heard())
	}
	d.say(Alarm, d.because(c))
}

// rearm makes everything whole for another run.
func (d *Deck) rearm() {
	d.fate = befallen{dead: map[show.Group]bool{}, radio: d.fate.radio}
}

// A fragile output is one that a drill can take away.
type fragile struct {
	playback.Output
	away *bool
}

var errNoAnswer = errors.New("no sound device answers")

func (f fragile) gone() error {
	if *f.away {
		return playback.ErrDeviceGone
	}
	return nil
}

func (f fragile) Heard() (int64, error) {
	n, err := f.Output.Heard()
	return n, errors.Join(err, f.gone())
}

func (f fragile) Hold() (int64, error) {
	n, err := f.Output.Hold()
	return n, errors.Join(err, f.gone())
}

func (f fragile) Start() error {
	if err := f.gone(); err != nil {
		return err
	}
	return f.Output.Start()
}

// breakable lets drills take the output away.
func (c *Config) breakable(away *bool) {
	open := c.Reopen
	c.Output = fragile{c.Output, away}
	c.Reopen = func() (playback.Output, error) {
		if *away {
			return nil, errNoAnswer
		}
		out, err := open()
		if err != nil {
			return nil, err
		}
		return fragile{out, away}, nil
	}
}
