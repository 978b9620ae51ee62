package screen

import (
	"fmt"
	"strings"

	"drylane/show/words"
)

// Heading draws a panel's title on a rule and returns what is left below.
func (c *Canvas) Heading(r Rectangle, title string) Rectangle {
	c.Fill(Rect(r.X, r.Y, r.W-1, 1), '─', Faint)
	c.Text(r.X+1, r.Y, r.W-3, " "+title+" ", Heading)
	return Rect(r.X+1, r.Y+1, r.W-3, r.H-1)
}

// Box clears a centred box with a frame and returns its inside.
func (c *Canvas) Box(w, h int, title string) Rectangle {
	return c.BoxIn(Rect(0, 0, c.W, c.H), w, h, title)
}

// BoxIn is Box in a part of the screen.
func (c *Canvas) BoxIn(in Rectangle, w, h int, title string) Rectangle {
	w, h = min(w, in.W), min(h, in.H)
	r := Rect(in.X+(in.W-w)/2, in.Y+(in.H-h)/2, w, h)
	c.Fill(r, ' ', Normal)
	for x := r.X; x < r.X+w; x++ {
		c.Set(x, r.Y, '─', Faint)
		c.Set(x, r.Y+h-1, '─', Faint)
	}
	for y := r.Y; y < r.Y+h; y++ {
		c.Set(r.X, y, '│', Faint)
		c.Set(r.X+w-1, y, '│', Faint)
	}
	c.Set(r.X, r.Y, '╭', Faint)
	c.Set(r.X+w-1, r.Y, '╮', Faint)
	c.Set(r.X, r.Y+h-1, '╰', Faint)
	c.Set(r.X+w-1, r.Y+h-1, '╯', Faint)
	c.Text(r.X+2, r.Y, w-4, " "+title+" ", Heading)
	return Rect(r.X+2, r.Y+1, w-4, h-2)
}

// page is how many lines the keys for a page scroll: less than any screen shows.
const page = 15

// Scrolls moves the first line of a text by a key; false when the key is for
// something else.
func Scrolls(top *int, key string) bool {
	switch key {
	case "down":
		*top++
	case "pgdown":
		*top += page
	case "up":
		*top = max(0, *top-1)
	case "pgup":
		*top = max(0, *top-page)
	default:
		return false
	}
	return true
}

// helpWide is how many columns the right side of a help table has.
const helpWide = 53

// A helpLine is one line of a help table: a head, or something and what it is.
type helpLine struct{ head, key, text string }

// keyLines are the lines of a table of keys.
func keyLines(bindings []Binding) (lines []helpLine) {
	for _, b := range bindings {
		if b.Head != "" {
			if len(lines) > 0 {
				lines = append(lines, helpLine{})
			}
			lines = append(lines, helpLine{head: b.Head})
		}
		var keys []string
		for _, k := range b.Keys {
			keys = append(keys, KeyLabel(k))
		}
		lines = append(lines, wrapped(strings.Join(keys, " or "), b.Help)...)
	}
	return lines
}

// wrapped are the lines of one thing and of what it is.
func wrapped(key, text string) (lines []helpLine) {
	for _, row := range Wrap(text, helpWide) {
		lines = append(lines, helpLine{key: key, text: row})
		key = ""
	}
	return lines
}

// wordLines are the lines of a table of words.
func wordLines(own []words.Own) []helpLine {
	if len(own) == 0 {
		return nil
	}
	lines := []helpLine{{}, {head: "Words"}}
	for _, w := range own {
		lines = append(lines, wrapped(w.Word, w.Means)...)
	}
	return lines
}

// KeyTable lists bindings, and words under them, in a box of at most that many rows,
// from line top on, and returns top as far as there are lines for it.
func (c *Canvas) KeyTable(bindings []Binding, own []words.Own, title string, top, rows int, foot string) int {
	lines := append(keyLines(bindings), wordLines(own)...)
	r := c.Box(74, min(len(lines)+3, rows), title)
	rows = r.H - 1
	top = max(0, min(top, len(lines)-rows))
	for y, l := range lines[top:min(len(lines), top+rows)] {
		c.Text(r.X, r.Y+y, r.W, l.head, Heading)
		c.Text(r.X, r.Y+y, 16, l.key, KeyName)
		c.Text(r.X+17, r.Y+y, r.W-17, l.text, Normal)
	}
	if len(lines) > rows {
		foot = fmt.Sprintf("↑ ↓ or pgup pgdown scroll (%d of %d); %s", min(len(lines), top+rows), len(lines), foot)
	}
	c.Text(r.X, r.Y+r.H-1, r.W, foot, Quiet)
	return top
}
