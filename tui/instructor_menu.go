package tui

import (
	"fmt"
	"slices"
	"unicode/utf8"

	"drylane/playback/instruct"
	"drylane/show"
	"drylane/show/drill"

	tea "github.com/charmbracelet/bubbletea"
)

// A menu is a list with a marked line.
type menu struct{ rows, mark, first int }

func (n *menu) move(by int) { n.mark = max(0, min(n.mark+by, n.rows-1)) }

// sight returns the lines in sight of h rows, with the marked one among them.
func (n *menu) sight(h int) (first, last int) {
	n.first = max(n.mark-h+1, min(n.first, n.mark))
	return n.first, min(n.rows, n.first+h)
}

// writeKey edits a message.
func (m *Instructor) writeKey(key string) tea.Cmd {
	switch key {
	case "esc":
		m.close()
	case "enter":
		if r, ok := m.written(); ok {
			m.text = nil
			return m.ask(r)
		}
	case "backspace":
		m.text = m.text[:max(0, len(m.text)-1)]
	case "up":
		m.turn(-1)
	case "down":
		m.turn(+1)
	case "tab":
		m.want = (m.want + 1) % len(radioWants)
	case "space":
		m.write(" ")
	default:
		if utf8.RuneCountInString(key) == 1 {
			m.write(key)
		}
	}
	return nil
}

// write adds to the message what fits.
func (m *Instructor) write(s string) {
	r := []rune(show.Clean(s))
	m.text = append(m.text, r[:min(len(r), instruct.MaxText-len(m.text))]...)
}

// written is the message that has been written; ok is false while it says
// nothing, or asks for what its speaker cannot be asked.
func (m *Instructor) written() (r instruct.Request, ok bool) {
	from := m.from()
	r = instruct.Request{Do: drill.Radio, From: from, Text: string(m.text), Wants: radioWants[m.want].want}
	if r.Wants == drill.WantStandDown {
		if !slices.Contains(m.Hello.Positions, from) {
			return r, false
		}
		r = group(r, from)
	}
	return r, len(m.text) > 0
}

// from is who speaks a message that is written.
func (m *Instructor) from() string {
	s := m.speakers()
	return s[m.speaker%len(s)]
}

// teaKey takes a key that bubbletea read, or pasted text. A burst of keys may
// come as one.
func (m *Instructor) teaKey(msg tea.KeyMsg) tea.Cmd {
	switch {
	case msg.Paste:
		if m.overlay == writeMenu {
			m.write(string(msg.Runes))
		}
		return nil
	case msg.Type == tea.KeySpace:
		return m.key("space")
	case msg.Type != tea.KeyRunes:
		return m.key(msg.String())
	}
	var cmds []tea.Cmd
	for _, r := range msg.Runes {
		cmds = append(cmds, m.key(runeKey(r)))
	}
	return tea.Batch(cmds...)
}

// drawMenu draws the menu that is open over everything else.
func (m *Instructor) drawMenu(c *canvas) {
	switch m.overlay {
	case radioMenu:
		m.drawRadio(c)
	case writeMenu:
		m.drawWrite(c)
	case faultMenu:
		m.drawFaultMenu(c)
	case endMenu:
		r := boxIn(c, m.lay.menus, 58, 6, "end the drill?")
		c.text(r.x, r.y, r.w, "The trainee's run ends with it, and the drill is scored.", Strong)
		c.text(r.x, r.y+2, r.w, "y goes on   any other key goes back", Normal)
	case sureMenu:
		r := boxIn(c, m.lay.menus, 58, 6, "end the drill?")
		c.text(r.x, r.y, r.w, "Sure? There is no way back.", Alarm)
		c.text(r.x, r.y+2, r.w, "e ends the drill   any other key goes back", Normal)
	case keysMenu:
		m.helpTop = drawKeyTable(c, m.keys.Bindings, "keys", m.helpTop, c.h, "any key closes this")
	}
}

// drawRadio lists the messages that are ready.
func (m *Instructor) drawRadio(c *canvas) {
	r := boxIn(c, m.lay.menus, 76, len(readyMessages)+5, "radio")
	m.drawChoice(c, r, m.position())
	first, last := m.menu.sight(r.h - 3)
	for i := first; i < last; i++ {
		msg, y := readyMessages[i], r.y+2+i-first
		style := m.drawMark(c, rect{r.x, y, r.w, 1}, i)
		wants := ""
		if msg.wants != drill.WantNothing {
			wants = string(msg.wants)
		}
		from := msg.from
		if from == "" {
			from = m.position()
		}
		c.text(r.x+2, y, 9, from, style)
		c.text(r.x+12, y, r.w-12-len(wants)-2, msg.text, style)
		c.right(r.x+r.w-1, y, wants, style)
	}
	m.drawFoot(c, r, last, "enter says it")
}

// drawFaultMenu lists what can fail.
func (m *Instructor) drawFaultMenu(c *canvas) {
	deeds := drill.MenuDeeds()
	r := boxIn(c, m.lay.menus, 60, len(deeds)+6, "faults")
	m.drawChoice(c, r, m.position())
	for i, do := range deeds {
		row := rect{r.x, r.y + 2 + i, r.w, 1}
		c.text(row.x+2, row.y, r.w-2, do.Menu(m.position()), m.drawMark(c, row, i))
	}
	m.drawFoot(c, r, m.menu.rows, "enter does it")
}

// drawChoice says which position is meant, and how to choose another.
func (m *Instructor) drawChoice(c *canvas, r rect, which string) {
	if which == "" {
		c.text(r.x, r.y, r.w, "the show names no positions", Quiet)
		return
	}
	x := c.text(r.x, r.y, 10, "position ", Quiet)
	x = c.text(x, r.y, 30, "← "+which+" →", Strong)
	c.text(x+2, r.y, r.x+r.w-x-2, fmt.Sprintf("(%d of %d)", m.speaker%max(1, len(m.Hello.Positions))+1, len(m.Hello.Positions)), Quiet)
}

// drawMark marks a line of the menu if it is the one, and returns its style.
func (m *Instructor) drawMark(c *canvas, r rect, i int) Style {
	if i != m.menu.mark {
		return Normal
	}
	c.fill(r, ' ', Selected)
	c.set(r.x, r.y, '▸', Selected)
	return Selected
}

func (m *Instructor) drawFoot(c *canvas, r rect, last int, enter string) {
	foot := "↑ ↓ mark   ← → position   " + enter + "   esc goes back"
	if more := m.menu.rows - last; more > 0 {
		foot += fmt.Sprintf("   %d more", more)
	}
	c.text(r.x, r.y+r.h-1, r.w, foot, Quiet)
}

// drawWrite draws the message that is being written.
func (m *Instructor) drawWrite(c *canvas) {
	r := boxIn(c, m.lay.menus, 76, 11, "write a radio message")
	x := c.text(r.x, r.y, 10, "from ", Quiet)
	c.text(x, r.y, 40, "↑ "+m.from()+" ↓", Strong)
	for k, l := range wrapExact(string(m.text)+"_", r.w) {
		if k < 3 {
			c.text(r.x, r.y+2+k, r.w, l, Normal)
		}
	}
	style := Normal
	words := radioWants[m.want].words
	if r, _ := m.written(); r.Wants == drill.WantStandDown && r.Name == "" {
		words, style = "asks to stand a position down: choose a position to speak", Caution
	}
	c.text(r.x, r.y+6, r.w, "it "+words, style)
	c.text(r.x, r.y+r.h-1, r.w, "enter says it   ↑ ↓ who speaks   tab what it asks for   esc goes back", Quiet)
}

// wrapExact breaks text into lines of w columns, blanks and all, so that what
// is typed stays where it was typed.
func wrapExact(s string, w int) []string {
	var lines []string
	for s != "" {
		l := cutWidth(s, w)
		if l == "" { // not even one character fits
			break
		}
		lines, s = append(lines, l), s[len(l):]
	}
	return lines
}
