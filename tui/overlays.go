package tui

import (
	"fmt"
	"strings"
)

// box clears a centred box with a frame and returns its inside.
func box(c *canvas, w, h int, title string) rect {
	return boxIn(c, rect{0, 0, c.w, c.h}, w, h, title)
}

// boxIn is box in a part of the screen.
func boxIn(c *canvas, in rect, w, h int, title string) rect {
	w, h = min(w, in.w), min(h, in.h)
	r := rect{in.x + (in.w-w)/2, in.y + (in.h-h)/2, w, h}
	c.fill(r, ' ', Normal)
	for x := r.x; x < r.x+w; x++ {
		c.set(x, r.y, '─', Faint)
		c.set(x, r.y+h-1, '─', Faint)
	}
	for y := r.y; y < r.y+h; y++ {
		c.set(r.x, y, '│', Faint)
		c.set(r.x+w-1, y, '│', Faint)
	}
	c.set(r.x, r.y, '╭', Faint)
	c.set(r.x+w-1, r.y, '╮', Faint)
	c.set(r.x, r.y+h-1, '╰', Faint)
	c.set(r.x+w-1, r.y+h-1, '╯', Faint)
	c.text(r.x+2, r.y, w-4, " "+title+" ", Heading)
	return rect{r.x + 2, r.y + 1, w - 4, h - 2}
}

// drawHelp lists the key table.
func (m *Console) drawHelp(c *canvas) {
	m.helpTop = drawKeyTable(c, m.Keys.Bindings, "keys", m.helpTop, c.h, "any key closes this")
}

// scrolls moves the first line of a text by a key; false when the key is for
// something else.
func scrolls(top *int, key string) bool {
	switch key {
	case "down", "pgdown":
		*top++
	case "up", "pgup":
		*top = max(0, *top-1)
	default:
		return false
	}
	return true
}

// drawKeyTable lists bindings in a box of at most that many rows, from line
// top on, and returns top as far as there are lines for it.
func drawKeyTable(c *canvas, bindings []Binding, title string, top, rows int, foot string) int {
	type line struct{ key, text, head string }
	var lines []line
	for _, b := range bindings {
		if b.Head != "" {
			if len(lines) > 0 {
				lines = append(lines, line{})
			}
			lines = append(lines, line{head: b.Head})
		}
		var keys []string
		for _, k := range b.Keys {
			keys = append(keys, keyLabel(k))
		}
		lines = append(lines, line{key: strings.Join(keys, " or "), text: b.Help})
	}
	r := box(c, 74, min(len(lines)+3, rows), title)
	rows = r.h - 1
	top = max(0, min(top, len(lines)-rows))
	for y, l := range lines[top:min(len(lines), top+rows)] {
		c.text(r.x, r.y+y, r.w, l.head, Heading)
		c.text(r.x, r.y+y, 16, l.key, KeyName)
		c.text(r.x+17, r.y+y, r.w-17, l.text, Normal)
	}
	if len(lines) > rows {
		foot = fmt.Sprintf("↑ ↓ scroll (%d of %d); %s", min(len(lines), top+rows), len(lines), foot)
	}
	c.text(r.x, r.y+r.h-1, r.w, foot, Quiet)
	return top
}

func (m *Console) drawQuit(c *canvas) {
	r := box(c, 58, 6, "quit?")
	state := stateLook[m.snap.Transport.State()].word
	c.text(r.x, r.y, r.w, fmt.Sprintf("The show is %s. Quit the rehearsal?", state), Strong)
	c.text(r.x, r.y+2, r.w, fmt.Sprintf("y quits   n goes back   %s holds   %s cuts", m.Keys.Name(ActHold), m.Keys.Name(ActCut)), Normal)
}

// FirstWords is what a shooter is told once, before anything else.
const FirstWords = `drylane rehearses a firework display that is fired to music: the soundtrack plays, the cue list runs against it on this screen, and you practise hold, resume and nudge.

It is NO firing system. It fires nothing and controls nothing. Distances, fallout areas, abort procedures and licences follow local law, the authority having jurisdiction and the licensed operator in charge.`

func (m *Console) drawFirst(c *canvas) {
	k := m.Keys.Name
	r := box(c, 66, 17, "drylane")
	y := r.y
	for _, p := range strings.Split(FirstWords, "\n") {
		for _, l := range wrap(p, r.w) {
			c.text(r.x, y, r.w, l, Normal)
			y++
		}
	}
	y++
	for _, s := range [][2]string{
		{k(ActArm) + ", then " + k(ActGo), "arm and start"},
		{k(ActHold) + ", then " + k(ActGo), "hold, and resume"},
		{k(ActEarlier) + " and " + k(ActLater), "nudge the cues EARLIER or LATER by 0.1 s"},
	} {
		c.text(r.x, y, 18, s[0], KeyName)
		c.text(r.x+19, y, r.w-19, s[1], Normal)
		y++
	}
	c.text(r.x, r.y+r.h-1, r.w, fmt.Sprintf("any key goes on; %s shows all keys", k(ActHelp)), Quiet)
}

// wrap breaks text into lines of at most w columns.
func wrap(s string, w int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		switch {
		case line == "":
			line = word
		case len([]rune(line))+1+len([]rune(word)) <= w:
			line += " " + word
		default:
			lines = append(lines, line)
			line = word
		}
	}
	return append(lines, line)
}

// KeyTable renders the key table as Markdown for the README.
func KeyTable(k *Keymap) string {
	var b strings.Builder
	b.WriteString("| key | what it does |\n| --- | --- |\n")
	for _, x := range k.Bindings {
		var keys []string
		for _, key := range x.Keys {
			keys = append(keys, "`"+keyLabel(key)+"`")
		}
		fmt.Fprintf(&b, "| %s | %s |\n", strings.Join(keys, " "), x.Help)
	}
	return b.String()
}
