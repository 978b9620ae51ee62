package review

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"
	"time"

	"drylane/show/page"
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

var pageTemplate = page.New(pageHTML, template.FuncMap{
	"shift": shiftWords, "confidence": confidenceWords, "clock": clock,
})

// WriteHTML writes the page: one file that needs no other, has no scripts,
// prints, and reads on a telephone.
func (p Page) WriteHTML(w io.Writer) error {
	return pageTemplate.Execute(w, struct {
		Page
		Fit  fitChart
		Rows []row
	}{p, newFitChart(p.Report), p.rows()})
}

// A fitChart draws the worth over the shift.
type fitChart struct {
	Width, Height, Floor float64
	Path                 page.Path
	Best                 float64
	Shifts               page.Labels
}

func newFitChart(r Report) fitChart {
	c := fitChart{Width: 600, Height: 180, Floor: 155}
	curve := r.Curve
	last := curve.Shift(len(curve.Score) - 1)
	x := page.Axis{Lo: curve.From.Seconds(), Hi: last.Seconds(), From: 20, To: c.Width - 20}
	low, high := slices.Min(curve.Score), slices.Max(curve.Score)
	y := page.Axis{Lo: low, Hi: max(high, low+1e-9), From: c.Floor - 5, To: 10}
	for i, v := range curve.Score {
		c.Path.To(x.At(curve.Shift(i).Seconds()), y.At(v))
	}
	c.Best = x.At(r.Show.Shift.Seconds())
	c.Shifts = page.Labels{Y: c.Height - 4, Ticks: x.Ticks(7, []float64{1}, func(s float64) string {
		if s == 0 {
			return "0"
		}
		return fmt.Sprintf("%.0f s %s", math.Abs(s), words.Side(time.Duration(s*float64(time.Second))))
	})}
	return c
}

// rowFor is how much music a row of the page holds.
const rowFor = 30 * time.Second

// A row is half a minute of the music with its cues.
type row struct {
	Text    string
	Sound   page.Path
	Accents []stroke
	Cues    []dot
}

// The measures of a row, in its own units.
const (
	rowWidth = 600
	rowFloor = 76 // where the sound stands
	rowPeak  = 20 // where the loudest reaches
	rowCues  = 10 // where the dots are
)

// A stroke is an accent, from Y down to the floor.
type stroke struct{ X, Y float64 }

// A dot is a cue.
type dot struct {
	X           float64
	Class, Text string
}

// loud is the height of a peak, or of an accent's strength.
var loud = page.Axis{Hi: 1, From: rowFloor, To: rowPeak}

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
		x := page.Axis{Lo: from.Seconds(), Hi: to.Seconds(), To: rowWidth}
		for ; len(accents) > 0 && accents[0].At < to; accents = accents[1:] {
			r.Accents = append(r.Accents, stroke{x.At(accents[0].At.Seconds()), loud.At(min(accents[0].Strength, 1))})
		}
		for ; len(cues) > 0 && cues[0].At < to; cues = cues[1:] {
			r.Cues = append(r.Cues, cues[0].dot(x.At(cues[0].At.Seconds())))
		}
		if r.Sound.String() != "" || len(r.Cues) > 0 {
			out = append(out, r)
		}
	}
	return out
}

// sound is the outline of the peaks in a row, empty for none.
func (p Page) sound(from time.Duration) (outline page.Path) {
	first := int(from / (time.Second / WaveHz))
	last := min(first+int(rowFor/(time.Second/WaveHz)), len(p.Wave))
	if first >= last {
		return outline
	}
	return page.Outline(p.Wave[first:last], page.Axis{Hi: float64(rowFor / (time.Second / WaveHz)), To: rowWidth}, loud)
}

func (c CueFit) dot(x float64) dot {
	d := dot{X: x, Class: "cue", Text: fmt.Sprintf("cue %s, %s, %s: %s", c.ID, c.Position, timebase.ClockMillis(c.At), c.Place)}
	switch c.Place {
	case Early, Late:
		d.Class = "off"
		d.Text += ", " + words.LateMS(c.Off, "to the millisecond")
	case NoAccent:
		d.Class = "none"
	}
	return d
}
