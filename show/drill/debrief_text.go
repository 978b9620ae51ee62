package drill

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"drylane/show/timebase"
	"drylane/show/words"

	"github.com/charmbracelet/x/ansi"
)

// leastWidth is the narrowest a text is laid out for, and besides the width
// from which what a measure found stands beside its figures and not below.
const (
	leastWidth = 40
	besides    = 110
)

// WriteText writes the debrief for a terminal of so many columns. The grades
// are words, so that nothing is told by colour alone.
func (res *Result) WriteText(w io.Writer, width int) error {
	p := printer{width: max(leastWidth, width)}
	p.flow(0, "Debrief: "+res.Title)
	p.flow(0, res.About())
	p.line("")
	p.flow(0, res.Headline())
	p.line("")
	p.measures(res.Lines)
	p.moments(res.Moments)
	p.prose("What good looks like", res.Good)
	p.prose("Why", res.Why)
	p.flow(0, Caution)
	_, err := io.WriteString(w, p.String())
	return err
}

// About says whose run it was, of what, and when.
func (res *Result) About() string {
	who := res.Person
	if who == "" {
		who = "nobody named"
	}
	return fmt.Sprintf("%s, %s, drill %s, level %d, seed %d, show %s%s", who, res.Began.Format("2006-01-02 15:04"), res.Drill,
		res.Level, res.Seed, res.Show, res.source())
}

// source names the log and which of its runs it was, where there were several.
func (res *Result) source() string {
	s := ""
	if res.Session != "" {
		s += ", session " + res.Session
	}
	if res.Run > 1 {
		s += fmt.Sprintf(", run %d of it", res.Run)
	}
	return s
}

// Headline says the score, and whether the run was finished.
func (res *Result) Headline() string {
	s := "No score: nothing came up that is measured"
	if res.Scored {
		s = fmt.Sprintf("Score: %d of 100", res.Score)
	}
	if !res.Finished {
		s += ". Not finished: " + res.Ended + ", so what had not come by then earns nothing"
	}
	return s
}

// Label names what was measured.
func (l Line) Label() string {
	if l.Step == "" {
		return string(l.Kind)
	}
	return string(l.Kind) + ": " + l.Step
}

// PointsWords says what was earned of what was to be had.
func (l Line) PointsWords() string {
	if l.Grade == LeftOut {
		return "-"
	}
	return points(l.Points) + " of " + points(l.Of)
}

// points writes points to the tenth.
func points(p float64) string { return Value(math.Round(10*p) / 10).text() }

// ValueWords is the value; nothing where the measure was left out.
func (l Line) ValueWords() string {
	if l.Grade == LeftOut {
		return "-"
	}
	return l.Kind.Words(l.Value)
}

// A printer lays out lines of a width.
type printer struct {
	strings.Builder
	width int
}

func (p *printer) line(s string) {
	p.WriteString(strings.TrimRight(s, " ") + "\n")
}

// flow writes a text from a column on.
func (p *printer) flow(indent int, s string) { p.after(strings.Repeat(" ", indent), s) }

// after writes a text behind what leads it, as a column of its own.
func (p *printer) after(lead, s string) { p.WriteString(words.Hang(lead, s, p.width)) }

// prose writes paragraphs under a heading.
func (p *printer) prose(heading string, paragraphs []string) {
	if len(paragraphs) == 0 {
		return
	}
	p.line(heading)
	for _, s := range paragraphs {
		p.flow(2, s)
	}
	p.line("")
}

// pad fills s with blanks, or cuts it, to a width.
func pad(s string, width int) string {
	s = ansi.Truncate(s, width, "…")
	return s + strings.Repeat(" ", width-ansi.StringWidth(s))
}

// measures writes the table of what was measured.
func (p *printer) measures(lines []Line) {
	if len(lines) == 0 {
		return
	}
	wide := p.width >= besides
	label := min(34, p.width-35)
	head := pad("grade", 10) + pad("points", 14) + pad("measure", label) + pad("value", 11)
	if wide {
		head += "what was found"
	}
	p.line(head)
	for _, l := range lines {
		row := pad(string(l.Grade), 10) + pad(l.PointsWords(), 14) + pad(l.Label(), label-1) + " " + pad(l.ValueWords(), 11)
		if wide {
			p.after(row, l.Says)
			continue
		}
		p.line(row)
		p.flow(4, l.Says)
	}
	p.line("")
}

// maxMoments is how many lines of a timeline are written.
const maxMoments = 300

// moments writes the timeline.
func (p *printer) moments(list []Moment) {
	p.line(pad("since start", 13) + pad("music", 9) + pad("", 8) + "what happened")
	for _, m := range list[:min(len(list), maxMoments)] {
		p.after(pad(clock(m.Since), 13)+pad(clock(m.Heard), 9)+pad(string(m.Kind), 8), m.Words())
	}
	if n := len(list) - maxMoments; n > 0 {
		p.line(fmt.Sprintf("and %d more", n))
	}
	p.line("")
}

// Words says what happened, and how what it asked for was answered.
func (m Moment) Words() string {
	s := m.Text
	if m.Hand {
		s = strings.TrimSuffix(s, ".") + ", by the instructor: not scored"
	}
	switch {
	case m.Wants == WantNothing:
		return s
	case m.Answer < 0:
		return s + fmt.Sprintf(" (wants %s: no answer)", m.Wants)
	case m.After == 0:
		return s + fmt.Sprintf(" (wants %s: came at once)", m.Wants)
	}
	return s + fmt.Sprintf(" (wants %s: came after %s s)", m.Wants, seconds(m.After).text())
}

// clock writes a time with tenths, such as 1:02.5.
func clock(d time.Duration) string { return timebase.ClockTenths(d.Round(100 * time.Millisecond)) }
