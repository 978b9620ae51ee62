package console

import (
	"fmt"
	"strings"

	"drylane/tui/screen"
)

// A Briefing is what a trainee is told before a drill.
type Briefing struct {
	Text string // paragraphs, with an empty line between
	Foot string // the caution that stands under every briefing
}

// drawBriefing shows the briefing, from line helpTop on.
func (m *Screen) drawBriefing(c *screen.Canvas) {
	const width = 72
	var lines []string
	for _, p := range paragraphs(m.Brief.Text) {
		lines = append(append(lines, m.Wrap(p, width-4)...), "")
	}
	foot := m.Wrap(m.Brief.Foot, width-4)
	r := c.Box(width, min(len(lines)+len(foot)+3, c.H), "drill")
	rows := r.H - len(foot) - 1
	m.helpTop = max(0, min(m.helpTop, len(lines)-rows))
	for y := 0; y < rows && m.helpTop+y < len(lines); y++ {
		c.Text(r.X, r.Y+y, r.W, lines[m.helpTop+y], screen.Normal)
	}
	for y, line := range foot {
		c.Text(r.X, r.Y+rows+y, r.W, line, screen.Caution)
	}
	keys := fmt.Sprintf("any key goes on; %s shows this again", m.Keys.Name(actBriefing))
	if len(lines) > rows+1 {
		keys = "↑ ↓ scroll; " + keys
	}
	c.Text(r.X, r.Y+r.H-1, r.W, keys, screen.Quiet)
}

// paragraphs splits text at its empty lines; the breaks within are blanks.
func paragraphs(text string) []string {
	var list []string
	for _, p := range strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n\n") {
		if p = strings.Join(strings.Fields(p), " "); p != "" {
			list = append(list, p)
		}
	}
	return list
}
