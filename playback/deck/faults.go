package deck

import (
	"errors"
	"slices"

	"drylane/playback"
	"drylane/show"
	"drylane/show/drill"
)

// What a deed of a drill does to a run stands in this file: at once in perform, and
// for as long as it lasts in the questions below, which the loop asks.

// perform lets a deed take effect. Nothing but the log is told of it.
func (d *Deck) perform(s drill.Step) {
	d.tendSecond() // what was heard before is played as it was
	d.faults.Take(s.Do, s.Group)
	switch s.Do {
	case drill.Radio, drill.Go, drill.NoGo, drill.Back:
		d.radio = append(d.radio, RadioCall{d.clock.Now(), s.From, s.Text})
		if d.cfg.OnRadio != nil {
			d.cfg.OnRadio(s.From, s.Text)
		}
		if answer := s.Do.Answer(); answer != show.NoAnswer {
			d.spoken(s.From, answer, s.Text)
		}
	case drill.Dead:
		for i := d.t.Next(); i < d.t.Committed(); i++ {
			if d.isDead(i) {
				d.voices.Remove(i)
			}
		}
	case drill.LateOne:
		d.fireLate(s.Group)
	case drill.Over:
		d.endDrill()
	}
}

// isDead reports whether what cue i lights does not go off: a fault keeps it from
// doing so, or it has gone off already.
func (d *Deck) isDead(i int) bool {
	if d.wentLate(i) {
		return true
	}
	for _, g := range d.faults.Groups(drill.Dead) {
		if g == (show.Group{}) {
			return true
		}
		if k := d.plan.Group(g); k >= 0 && d.plan.In(i, k) {
			return true
		}
	}
	return false
}

// muteMusic silences a part of the music that nobody hears. What the console
// plays stays on its meter: the fault is in the field.
func (d *Deck) muteMusic(part [][2]float64) {
	if d.faults.Has(drill.MusicOff) {
		d.unheard = d.peakOf(part)
		clear(part)
	}
}

// muteSides silences the sides of a companion that a fault keeps from being
// heard.
func (d *Deck) muteSides(c *Companion, part [][2]float64) {
	for side := range 2 {
		if d.sideOff(c, side) {
			for i := range part {
				part[i][side] = 0
			}
		}
	}
}

// sideOff reports whether a fault keeps a side of a companion from being heard:
// calls that have fallen silent.
func (d *Deck) sideOff(c *Companion, side int) bool {
	g := show.Group{By: show.LanesByPosition, Name: c.Calls[side]}
	return g.Name != "" && slices.Contains(d.faults.Groups(drill.CallsOff), g)
}

// deviceAway reports whether the sound device has been taken away.
func (d *Deck) deviceAway() bool { return d.faults.Has(drill.DeviceLost) }

// A fragile output is one that a drill can take away.
type fragile struct {
	playback.Output
	away func() bool
}

// within is the output that a drill may be able to take away.
func within(out playback.Output) playback.Output {
	if f, ok := out.(fragile); ok {
		return f.Output
	}
	return out
}

var errNoAnswer = errors.New("no sound device answers")

func (f fragile) gone() error {
	if f.away() {
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
func (c *Config) breakable(away func() bool) {
	open := c.Reopen
	c.Output = fragile{c.Output, away}
	c.Reopen = func() (playback.Output, error) {
		if away() {
			return nil, errNoAnswer
		}
		out, err := open()
		if err != nil {
			return nil, err
		}
		return fragile{out, away}, nil
	}
}
