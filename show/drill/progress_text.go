package drill

import (
	"fmt"
	"io"
	"math"
	"strings"

	"drylane/show/words"
)

// maxListed is how many runs of a drill are listed: the latest.
const maxListed = 20

// WriteText writes the progress for a terminal of so many columns.
func (p *Progress) WriteText(w io.Writer, width int) error {
	out := printer{width: max(leastWidth, width)}
	if len(p.People) == 0 {
		out.line("No drill has been run.")
	}
	for i, who := range p.People {
		if i > 0 {
			out.line("")
		}
		out.flow(0, "Progress of "+who.Title()+": "+words.Count(who.Runs, "run"))
		for _, c := range who.Drills {
			out.line("")
			out.course(c)
		}
		out.readings(who.Kinds)
	}
	_, err := io.WriteString(w, out.String())
	return err
}

// Title names the person.
func (who *Person) Title() string {
	if who.Name == "" {
		return "nobody named"
	}
	return who.Name
}

// course writes the scores of one drill as bars.
func (p *printer) course(c *Course) {
	p.flow(0, fmt.Sprintf("%s (%s, level %d): %s", c.Title, c.Drill, c.Level, c.Words()))
	if n := len(c.Runs) - maxListed; n > 0 {
		p.line(fmt.Sprintf("  %d earlier", n))
	}
	for _, m := range c.Latest() {
		p.line(pad("  "+m.Began.Format("2006-01-02 15:04")+"  "+bar(m), 42) + pad(m.Words(), min(40, p.width-42)))
	}
}

// Latest are the runs that are listed.
func (c *Course) Latest() []Mark { return c.Runs[max(0, len(c.Runs)-maxListed):] }

// bar draws a score in twentieths.
func bar(m Mark) string {
	n := int(math.Round(float64(m.Score) / 5))
	return strings.Repeat("#", n) + strings.Repeat("-", 20-n)
}

// Words is the score, and whether it is one of a whole run.
func (m Mark) Words() string {
	s := "no score"
	if m.Scored {
		s = fmt.Sprint(m.Score)
	}
	if !m.Finished {
		s += ", not finished"
	}
	return s
}

// readings writes how each kind of measure went on.
func (p *printer) readings(list []*Reading) {
	if len(list) == 0 {
		return
	}
	wide := p.width >= besides
	p.line("")
	head := pad("measure", 21) + pad("first", 12) + pad("best", 12) + pad("latest", 12) + pad("over time", sparkRuns+2)
	if wide {
		head += "trend"
	}
	p.line(head)
	for _, r := range list {
		row := pad(string(r.Kind), 20) + " " + pad(r.First(), 12) + pad(r.Best(), 12) + pad(r.Latest(), 12) + pad(r.spark(), sparkRuns+2)
		if wide {
			p.after(row, r.Words())
			continue
		}
		p.line(row)
		p.flow(4, r.Words())
	}
}

// sparkRuns is how many of the latest values are drawn in a line.
const sparkRuns = 16

// spark draws the values as bars an eighth to a whole line high, the best of
// them lowest; x is one that has no end.
func (r *Reading) spark() string {
	values := r.Values[max(0, len(r.Values)-sparkRuns):]
	var most Value
	for _, s := range values {
		if !s.Value.Endless() {
			most = max(most, s.Value)
		}
	}
	var b strings.Builder
	for _, s := range values {
		if s.Value.Endless() {
			b.WriteByte('x')
			continue
		}
		b.WriteRune([]rune("▁▂▃▄▅▆▇█")[int(math.Round(7*float64(s.Value)/max(float64(most), 1e-9)))])
	}
	return b.String()
}
