package report

import (
	"fmt"
	"slices"

	"drylane/show/drift"
	"drylane/show/page"
	"drylane/show/words"
)

// A scatterView is the taps over the show, with the estimate and its interval.
type scatterView struct {
	Width, Height    float64
	Time             page.Labels
	Late             page.Rules
	Left, Right      float64
	Top, Bottom      float64
	Zero             float64
	Band             box     // the interval
	Line             segment // the estimate; with the growth if there is one
	Dots             []dot
	Beyond           int // outliers that are off the board, drawn at its edge
	HasBand, HasLine bool
}

type box struct{ X, Y, W, H float64 }

type segment struct{ X1, Y1, X2, Y2 float64 }

// A dot is one tap. Its shape says what became of it: counted, outlier,
// unclear or loose.
type dot struct {
	X, Y  float64
	Shape Outcome
	Text  string
}

// maxDots bounds the drawing.
const maxDots = 3000

// Scatter draws the taps against the cue list as written.
func (v sheetView) Scatter() scatterView {
	points := v.Points()
	x := musicAxis(v.Run)
	c := scatterView{Width: chartWidth, Height: 300, Top: 14, Bottom: 268, Left: x.From, Right: x.To, Time: page.Labels{Y: 292, Ticks: x.TimeTicks(10)}}
	earliest, latest := v.span(points)
	y := lateAxis(earliest, latest, c.Top, c.Bottom-12) // loose taps stand below
	c.Zero, c.Late = y.At(0), lateRules(y, c.Left, c.Right)
	for _, p := range points[:min(len(points), maxDots)] {
		d := dot{X: x.At(v.Run.At(p.Heard).Seconds()), Y: c.Bottom - 4, Shape: p.Outcome, Text: v.Moment(p.Heard) + ", no cue near"}
		if p.Outcome != Loose {
			late := p.Residual.Seconds()
			if late < y.Lo || late > y.Hi {
				c.Beyond++
			}
			d.Y = y.At(max(y.Lo, min(y.Hi, late)))
			d.Text = fmt.Sprintf("%s, cue %s, %s, %s", v.Moment(p.Heard), p.Cue, words.Late(p.Residual), p.Outcome)
		}
		c.Dots = append(c.Dots, d)
	}
	c.estimate(v.List, x, y)
	return c
}

// span is from the earliest to the latest drift that counts, in seconds. What
// does not count must not squeeze what does.
func (v sheetView) span(points []Point) (earliest, latest float64) {
	for _, p := range points {
		if p.Outcome == Counted {
			earliest, latest = min(earliest, p.Residual.Seconds()), max(latest, p.Residual.Seconds())
		}
	}
	if e := v.List.Show; e.N > 0 {
		earliest, latest = min(earliest, e.Low.Seconds()), max(latest, e.High.Seconds())
	}
	return earliest, latest
}

// estimate draws the offset from the first counted tap to the last.
func (c *scatterView) estimate(r drift.Report, x, y page.Axis) {
	var at []float64
	for _, p := range r.Pairs {
		if !p.Outlier && !p.Unclear {
			at = append(at, p.At.Seconds())
		}
	}
	if len(at) == 0 || r.Show.N == 0 {
		return
	}
	slices.Sort(at)
	from, to := at[0], at[len(at)-1]
	offset, slope := r.Show.Offset.Seconds(), 0.0
	if r.Rate.Grows {
		slope = r.Rate.Slope // the offset is that of the middle tap
	} else {
		hi, lo := y.At(r.Show.High.Seconds()), y.At(r.Show.Low.Seconds())
		c.Band, c.HasBand = box{x.At(from), hi, max(1, x.At(to)-x.At(from)), max(1, lo-hi)}, true
	}
	middle := at[len(at)/2]
	c.Line = segment{x.At(from), y.At(offset + slope*(from-middle)), x.At(to), y.At(offset + slope*(to-middle))}
	c.HasLine = true
}
