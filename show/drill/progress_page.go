package drill

import (
	_ "embed"
	"io"
	"time"

	"drylane/show/page"
)

//go:embed progress.html
var progressHTML string

var progressTemplate = page.New(progressHTML, nil)

// WriteHTML writes the progress as one page that needs no other file, has no
// scripts, prints, and reads on a telephone. made is when.
func (p *Progress) WriteHTML(w io.Writer, made time.Time) error {
	return progressTemplate.Execute(w, struct {
		*Progress
		Made    time.Time
		Caution string
	}{p, made, Caution})
}

// A spark is a small chart of values over runs.
type spark struct {
	Width, Height float64
	Path          page.Path // through the values that are next to one another
	Dots          []sparkDot
	Top, Zero     float64 // where the most and zero are
	Most          string
	From, To      string // the days of the first and the last
}

// A sparkDot is one value.
type sparkDot struct {
	X, Y  float64
	Cross bool // not to be drawn to scale: endless, or of a run that was left
	Title string
}

// The measures of a small chart, in its own units.
const (
	sparkWidth  = 320
	sparkHeight = 110
	sparkTop    = 22
	sparkZero   = 84
	maxSpark    = 60 // values: the latest
)

// newSpark is a chart of n values, up to most at its top.
func newSpark(n int, most float64, words string) (s spark, x, y page.Axis) {
	x = page.Axis{Lo: -0.5, Hi: float64(n) - 0.5, From: 8, To: sparkWidth - 8}
	y = page.Axis{Hi: max(most, 1e-9), From: sparkZero, To: sparkTop}
	return spark{Width: sparkWidth, Height: sparkHeight, Top: sparkTop, Zero: sparkZero, Most: words}, x, y
}

// draw puts the next value on the chart; a cross stands at the top and breaks
// the line.
func (s *spark) draw(d sparkDot, began time.Time) {
	day := began.Format("2006-01-02")
	if s.From == "" {
		s.From = day
	}
	s.To = day
	d.Title = began.Format("2006-01-02 15:04") + ": " + d.Title
	if !d.Cross {
		to := s.Path.To
		if n := len(s.Dots); n == 0 || s.Dots[n-1].Cross {
			to = s.Path.From
		}
		to(d.X, d.Y)
	}
	s.Dots = append(s.Dots, d)
}

// Chart draws the scores.
func (c *Course) Chart() spark {
	runs := c.Runs[max(0, len(c.Runs)-maxSpark):]
	s, x, y := newSpark(len(runs), 100, "100")
	for i, m := range runs {
		d := sparkDot{X: x.At(float64(i)), Y: y.At(float64(m.Score)), Cross: !m.Scored || !m.Finished, Title: m.Words()}
		s.draw(d, m.Began)
	}
	return s
}

// Chart draws the values.
func (r *Reading) Chart() spark {
	values := r.Values[max(0, len(r.Values)-maxSpark):]
	var most Value
	label := "" // where every value is endless the axis has nothing to say
	for _, v := range values {
		if !v.Value.Endless() {
			most = max(most, v.Value)
			label = r.Kind.Words(most)
		}
	}
	s, x, y := newSpark(len(values), float64(most), label)
	for i, v := range values {
		d := sparkDot{X: x.At(float64(i)), Y: sparkTop, Cross: v.Value.Endless(), Title: v.Drill + ", " + r.Kind.Words(v.Value)}
		if !d.Cross {
			d.Y = y.At(float64(v.Value))
		}
		s.draw(d, v.Began)
	}
	return s
}
