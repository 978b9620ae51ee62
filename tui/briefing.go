package tui

import (
	"fmt"
	"strings"
)

// A Briefing is what a trainee is told before a drill.
type Briefing struct {
	Text string // paragraphs, with an empty line between
	Foot string // the caution that stands under every briefing
}

// drawBriefing shows the briefing, from line briefTop on.
func (m *Console) drawBriefing(c *canvas) {
	const width = 72
	var lines []string
	for _, p := range paragraphs(m.Brief.Text) {
		lines = append(append(lines, wrap(p, width-4)...), "")
	}
	foot := wrap(m.Brief.Foot, width-4)
	r := box(c, width, min(len(lines)+len(foot)+3, c.h), "drill")
	rows := r.h - len(foot) - 1
	m.helpTop = max(0, min(m.helpTop, len(lines)-rows))
	for y := 0; y < rows && m.helpTop+y < len(lines); y++ {
		c.text(r.x, r.y+y, r.w, lines[m.helpTop+y], Normal)
	}
	for y, line := range foot {
		c.text(r.x, r.y+rows+y, r.w, line, Caution)
	}
	keys := fmt.Sprintf("any key goes on; %s shows this again", m.Keys.Name(ActBriefing))
	if len(lines) > rows+1 {
		keys = "↑ ↓ scroll; " + keys
	}
	c.text(r.x, r.y+r.h-1, r.w, keys, Quiet)
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
