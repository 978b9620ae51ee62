package instructor

import (
	"fmt"
	"slices"

	link "drylane/playback/crew"
	roles "drylane/show/crew"
	"drylane/show/drill"
	"drylane/tui/crew"
	"drylane/tui/screen"
)

// writeKey edits a message.
func (m *Screen) writeKey(key string) {
	switch key {
	case "esc":
		m.close()
	case "enter":
		if d, ok := m.written(); ok {
			m.text.Text = ""
			m.ask(roles.Radio, d)
		}
	case "up":
		m.turn(-1)
	case "down":
		m.turn(+1)
	case "tab":
		m.want = (m.want + 1) % len(radioWants)
	default:
		m.text.Key(key)
	}
}

// written is the message that has been written; ok is false while it says
// nothing, or asks for what its speaker cannot be asked.
func (m *Screen) written() (d link.Deed, ok bool) {
	d = link.Deed{From: m.from(), Text: m.text.Text, Wants: string(radioWants[m.want].want)}
	if d.Wants == string(drill.WantStandDown) {
		if !slices.Contains(m.positions(), d.From) {
			return d, false
		}
		d = group(d, d.From)
	}
	return d, d.Text != ""
}

// from is who speaks a message that is written.
func (m *Screen) from() string {
	s := m.speakers()
	return s[m.speaker%len(s)]
}

// drawMenu draws the menu that is open over everything else.
func (m *Screen) drawMenu(c *screen.Canvas) {
	switch m.overlay {
	case radioMenu:
		m.drawRadio(c)
	case writeMenu:
		m.drawWrite(c)
	case faultMenu:
		m.drawFaultMenu(c)
	case crewMenu:
		m.drawCrew(c)
	case keysMenu:
		m.helpTop = c.KeyTable(m.keys.Bindings, nil, "keys", m.helpTop, c.H, "any key closes this")
	}
}

// drawRadio lists the messages that are ready.
func (m *Screen) drawRadio(c *screen.Canvas) {
	r := c.BoxIn(m.lay.menus, 76, len(readyMessages)+5, "radio")
	m.drawChoice(c, r, m.position())
	first, last := m.menu.Sight(r.H - 3)
	for i := first; i < last; i++ {
		msg, y := readyMessages[i], r.Y+2+i-first
		style := m.drawMark(c, screen.Rect(r.X, y, r.W, 1), i)
		wants := ""
		if msg.wants != drill.WantNothing {
			wants = string(msg.wants)
		}
		from := msg.from
		if from == "" {
			from = m.position()
		}
		c.Text(r.X+2, y, 9, from, style)
		c.Text(r.X+12, y, r.W-12-len(wants)-2, msg.text, style)
		c.Right(r.X+r.W-1, y, wants, style)
	}
	m.drawFoot(c, r, last, "enter says it")
}

// drawFaultMenu lists what can fail.
func (m *Screen) drawFaultMenu(c *screen.Canvas) {
	deeds := drill.MenuDeeds()
	r := c.BoxIn(m.lay.menus, 60, len(deeds)+6, "faults")
	m.drawChoice(c, r, m.position())
	for i, do := range deeds {
		row := screen.Rect(r.X, r.Y+2+i, r.W, 1)
		c.Text(row.X+2, row.Y, r.W-2, do.Menu(m.position()), m.drawMark(c, row, i))
	}
	m.drawFoot(c, r, m.menu.Rows, "enter does it")
}

// drawChoice says which position is meant, and how to choose another.
func (m *Screen) drawChoice(c *screen.Canvas, r screen.Rectangle, which string) {
	if which == "" {
		c.Text(r.X, r.Y, r.W, "the show names no positions", screen.Quiet)
		return
	}
	x := c.Text(r.X, r.Y, 10, "position ", screen.Quiet)
	x = c.Text(x, r.Y, 30, "← "+which+" →", screen.Strong)
	c.Text(x+2, r.Y, r.X+r.W-x-2, fmt.Sprintf("(%d of %d)", m.speaker%max(1, len(m.positions()))+1, len(m.positions())), screen.Quiet)
}

// drawMark marks a line of the menu if it is the one, and returns its style.
func (m *Screen) drawMark(c *screen.Canvas, r screen.Rectangle, i int) screen.Style {
	if i != m.menu.Mark {
		return screen.Normal
	}
	c.Fill(r, ' ', screen.Selected)
	c.Set(r.X, r.Y, '▸', screen.Selected)
	return screen.Selected
}

func (m *Screen) drawFoot(c *screen.Canvas, r screen.Rectangle, last int, enter string) {
	foot := "↑ ↓ mark   ← → position   " + enter + "   esc goes back"
	if more := m.menu.Rows - last; more > 0 {
		foot += fmt.Sprintf("   %d more", more)
	}
	c.Text(r.X, r.Y+r.H-1, r.W, foot, screen.Quiet)
}

// drawCrew lists who takes part, with what must be seen first at the top.
func (m *Screen) drawCrew(c *screen.Canvas) {
	r := c.BoxIn(m.lay.menus, 64, len(m.view.Crew)+4, fmt.Sprintf("crew: %d", len(m.view.Crew)))
	crew.DrawLines(c, screen.Rect(r.X, r.Y, r.W, r.H-2), m.view.Crew, m.view.State.Hold > 0)
	c.Text(r.X, r.Y+r.H-1, r.W, "any key closes this", screen.Quiet)
}

// drawWrite draws the message that is being written.
func (m *Screen) drawWrite(c *screen.Canvas) {
	r := c.BoxIn(m.lay.menus, 76, 11, "write a radio message")
	x := c.Text(r.X, r.Y, 10, "from ", screen.Quiet)
	c.Text(x, r.Y, 40, "↑ "+m.from()+" ↓", screen.Strong)
	for k, l := range screen.WrapExact(m.Shown(m.text.Text)+"_", r.W) {
		if k < 3 {
			c.Text(r.X, r.Y+2+k, r.W, l, screen.Normal)
		}
	}
	style := screen.Normal
	words := radioWants[m.want].words
	if d, _ := m.written(); d.Wants == string(drill.WantStandDown) && d.Of == "" {
		words, style = "asks to stand a position down: choose a position to speak", screen.Caution
	}
	c.Text(r.X, r.Y+6, r.W, "it "+words, style)
	c.Text(r.X, r.Y+r.H-1, r.W, "enter says it   ↑ ↓ who speaks   tab what it asks for   esc goes back", screen.Quiet)
}
