package review

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/timebase"
	"drylane/show/words"
)

// WaveHz is how many peaks of the music a second a Page takes.
const WaveHz = 10

// A Page is a review to be read in a browser.
type Page struct {
	Title  string
	Made   time.Time
	Report Report
	Music  Music
	Wave   []float32 // peaks from 0 to 1, WaveHz a second
}

//go:embed page.html
var pageHTML string

var pageTemplate = template.Must(template.New("page").Funcs(template.FuncMap{
	"clean": show.Clean, "shift": shiftWords, "confidence": confidenceWords, "clock": clock,
	"day": func(t time.Time) string { return t.Format("2006-01-02 15:04") },
}).Parse(pageHTML))

// WriteHTML writes the page: one file that needs no other, has no scripts,
// prints, and reads on a telephone.
func (p Page) WriteHTML(w io.Writer) error {
	return pageTemplate.Execute(w, struct {
		Page
		Fit  fitChart
		Rows []row
	}{p, newFitChart(p.Report), p.rows()})
}

// A tick is a text at a place.
type tick struct {
	X    string
	Text string
}

// A fitChart draws the worth over the shift.
type fitChart struct {
	Width, Height, Floor int
	Path, Best           string
	Ticks                []tick
}

func newFitChart(r Report) fitChart {
	c := fitChart{Width: 600, Height: 180, Floor: 155}
	curve := r.Curve
	low, high := slices.Min(curve.Score), slices.Max(curve.Score)
	span := max(high-low, 1e-9)
	x := func(d time.Duration) string {
		return px(20 + 560*float64(d-curve.From)/float64(curve.Step)/float64(len(curve.Score)-1))
	}
	var path strings.Builder
	for i, v := range curve.Score {
		to := "L"
		if i == 0 {
			to = "M"
		}
		fmt.Fprintf(&path, "%s%s %s", to, x(curve.Shift(i)), px(150-140*(v-low)/span))
	}
	c.Path, c.Best = path.String(), x(r.Show.Shift)
	for s := -Reach.Truncate(time.Second); s <= Reach; s += time.Second {
		text := "0"
		if s != 0 {
			text = fmt.Sprintf("%.0f s %s", s.Abs().Seconds(), placeOf(s))
		}
		c.Ticks = append(c.Ticks, tick{x(s), text})
	}
	return c
}

// px writes a coordinate to a tenth.
func px(f float64) string { return fmt.Sprintf("%.1f", f) }

// rowFor is how much music a row of the page holds.
const rowFor = 30 * time.Second

// A row is half a minute of the music with its cues.
type row struct {
	Text    string
	Sound   string
	Accents []stroke
	Cues    []dot
}

type stroke struct{ X, Y string }

type dot struct{ X, Y, Class, Text string }

// rows draws the music and the cues, row by row. Cues past the music have rows
// of their own; rows of silence with no cue are left out.
func (p Page) rows() []row {
	end := min(p.Music.Length, longest)
	if n := len(p.Report.Cues); n > 0 {
		end = min(max(end, p.Report.Cues[n-1].At), longest)
	}
	var out []row
	accents, cues := p.Music.Accents, p.Report.Cues
	for from := time.Duration(0); from <= end; from += rowFor {
		to := from + rowFor
		r := row{Text: clock(from), Sound: p.sound(from)}
		x := func(t time.Duration) string { return px(600 * float64(t-from) / float64(rowFor)) }
		for ; len(accents) > 0 && accents[0].At < to; accents = accents[1:] {
			r.Accents = append(r.Accents, stroke{x(accents[0].At), px(76 - 56*min(accents[0].Strength, 1))})
		}
		for ; len(cues) > 0 && cues[0].At < to; cues = cues[1:] {
			r.Cues = append(r.Cues, cues[0].dot(x(cues[0].At)))
		}
		if r.Sound != "" || len(r.Cues) > 0 {
			out = append(out, r)
		}
	}
	return out
}

// sound is the outline of the peaks in a row, empty for none.
func (p Page) sound(from time.Duration) string {
	first := int(from / (time.Second / WaveHz))
	last := min(first+int(rowFor/(time.Second/WaveHz)), len(p.Wave))
	if first >= last {
		return ""
	}
	var b strings.Builder
	b.WriteString("M0 76")
	step := 600 / float64(rowFor/(time.Second/WaveHz))
	for i, v := range p.Wave[first:last] {
		fmt.Fprintf(&b, "L%s %s", px(float64(i)*step), px(76-56*float64(min(v, 1))))
	}
	fmt.Fprintf(&b, "L%s 76z", px(float64(last-first)*step))
	return b.String()
}

func (c CueFit) dot(x string) dot {
	d := dot{X: x, Y: "10", Class: "cue", Text: fmt.Sprintf("cue %s, %s, %s: %s", c.ID, c.Position, timebase.ClockMillis(c.At), c.Place)}
	switch c.Place {
	case Early, Late:
		d.Class = "off"
		d.Text += ", " + words.LateMS(c.Off, "to the millisecond")
	case NoAccent:
		d.Class = "none"
	}
	return d
}
