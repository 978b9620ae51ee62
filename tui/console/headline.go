package console

import (
	"fmt"

	"drylane/show"
	"drylane/show/timebase"
	"drylane/tui/screen"
)

// A headline is what is read from two metres: the state, or what it demands of the
// shooter.
type headline struct {
	text  string
	style screen.Style
}

// headline says what the run demands now: what the field orders and has not been
// done yet, else what is wrong, else the state.
func (m *Screen) headline() headline {
	state := m.snap.Transport.State()
	look := screen.StateLookOf(state)
	if radio, isNew := m.newRadio(); isNew {
		if order := orderIn(radio.Text); stands(order, state, m.upByList()) {
			return headline{order, screen.BarArmed}
		}
	}
	switch {
	case m.counting() > 0:
		return headline{fmt.Sprintf("RESUME %d", m.counting()), screen.BarArmed}
	case m.snap.Lost:
		return headline{"NO SOUND", screen.BarHeld}
	case m.outside() > 0:
		return headline{fmt.Sprintf("%d OUT", m.outside()), screen.BarArmed}
	case m.waiting() > 0:
		return headline{"WAIT", screen.BarArmed}
	case state == show.Held && m.upByList():
		return headline{"NOT CLEAR", screen.BarHeld}
	case state == show.Held:
		return headline{look.Word, screen.BarHeld}
	}
	return headline{look.Word, look.Clock}
}

// upByList reports whether the list has something still up, or cannot say so.
func (m *Screen) upByList() bool { return len(m.up) > 0 || m.unknown > 0 }

// stands reports whether an order can still be followed in a state: one that has been
// followed gives way to what the state demands. Nobody can call clear what the list has
// still up.
func stands(order string, s show.State, up bool) bool {
	switch order {
	case "HOLD":
		return s == show.Running
	case "CUT":
		return s == show.Armed || s == show.Running || s == show.Held
	case "CLEAR":
		return s == show.Held && !up
	}
	return false
}

// drawTime draws the clock, how much of the music has been heard, and as large
// beside it the headline and the time to the next cue. A hold fills the whole band:
// it must look different in one colour, too.
func (m *Screen) drawTime(c *screen.Canvas) {
	state, head := m.snap.Transport.State(), m.headline()
	clock := screen.StateLookOf(state).Clock
	band := screen.Rect(0, m.lay.Clock.Y, c.W, m.lay.Clock.H)
	if m.lay.large.W == 0 {
		band.W = m.lay.Clock.X + m.lay.Clock.W
	}
	if state == show.Held {
		clock = screen.BarHeld
		c.Fill(band, ' ', clock)
	}
	c.Time(m.lay.Band, m.heard().At(m.Plan.Rate), clock)
	if m.lay.large.W == 0 {
		return
	}
	r := m.lay.large
	if head.style == screen.BarArmed || head.style == screen.BarHeld {
		c.Fill(screen.Rect(r.X-1, r.Y, r.W+2, r.H), ' ', head.style)
	}
	c.Large(r.X, r.Y, m.lay.stroke, r.H, head.text, head.style)
	m.drawCountdown(c, clock)
}

// drawCountdown draws the time until the next cue fires.
func (m *Screen) drawCountdown(c *screen.Canvas, style screen.Style) {
	r, t := m.lay.next, &m.snap.Transport
	i := m.nextFiring()
	if r.W == 0 || i < 0 || t.State() == show.Safe || t.State() == show.Ended {
		return
	}
	left := max(0, t.FiresAt(i)-m.heard()).At(m.Plan.Rate)
	text := timebase.ClockTenths(left)
	if s := screen.TenthsText(left); len(s) <= len("00.0") {
		text = s
	} else {
		text = text[:len(text)-2] // minutes and seconds: nobody waits for the tenth
	}
	w := screen.TimeWidth(text, m.lay.Digit)
	if w > r.W {
		return
	}
	c.LargeTime(screen.Rect(r.X, r.Y, w, r.H), m.lay.Digit, text, style)
	for k, s := range []string{"to cue", m.cue(i).ID, m.cue(i).Position} {
		c.Text(r.X+w+2, r.Y+k, r.W-w-2, s, style)
	}
}
