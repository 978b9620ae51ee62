package page

import (
	"fmt"
	"math"
	"time"

	"drylane/show/timebase"
)

// An Axis maps a range of seconds, or of anything else, to places on the board
// of a chart, which has units of its own and is scaled to the page.
type Axis struct {
	Lo, Hi   float64
	From, To float64 // places
}

// At is the place of a value, to a tenth.
func (a Axis) At(value float64) float64 {
	if a.Hi <= a.Lo {
		return a.From
	}
	return tenth(a.From + (value-a.Lo)/(a.Hi-a.Lo)*(a.To-a.From))
}

func tenth(x float64) float64 { return math.Round(x*10) / 10 }

// A Tick is a labelled place on an axis.
type Tick struct {
	At   float64
	Text string
}

// Labels are texts in a row, each centred on its place.
type Labels struct {
	Y     float64 // of their base line
	Ticks []Tick
}

// Rules are lines across a chart, each with its text to the left of it.
type Rules struct {
	Left, Right float64
	Ticks       []Tick
}

// TextX is where the texts end.
func (r Rules) TextX() float64 { return r.Left - 8 }

// timeSteps are the steps that people count minutes and seconds in.
var timeSteps = [...]float64{1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400}

// TimeTicks marks moments, in seconds, from zero on, at most most of them.
func (a Axis) TimeTicks(most int) []Tick {
	step := a.step(most, timeSteps[:])
	var out []Tick
	for i := 0; float64(i)*step <= a.Hi && i <= 2*most; i++ {
		s := float64(i) * step
		out = append(out, Tick{a.At(s), timebase.Clock(time.Duration(s) * time.Second)})
	}
	return out
}

// Ticks marks round values, at most most of them: whole numbers of the first of
// steps, which rise, that is wide enough, or else of the last. text words one.
func (a Axis) Ticks(most int, steps []float64, text func(value float64) string) []Tick {
	step := a.step(most, steps)
	var out []Tick
	for i := int(math.Ceil(a.Lo / step)); float64(i)*step <= a.Hi && len(out) < 3*most; i++ {
		v := float64(i) * step
		out = append(out, Tick{a.At(v), text(v)})
	}
	return out
}

func (a Axis) step(most int, steps []float64) float64 {
	for _, s := range steps {
		if (a.Hi-a.Lo)/s <= float64(most) {
			return s
		}
	}
	return steps[len(steps)-1]
}

// A Path is the outline of a drawing, point by point.
type Path struct{ d []byte }

// To draws a line to a place; the first begins the path.
func (p *Path) To(x, y float64) {
	if len(p.d) == 0 {
		p.From(x, y)
		return
	}
	p.d = fmt.Appendf(p.d, "L%g %g", tenth(x), tenth(y))
}

// From goes on at a place without a line to it.
func (p *Path) From(x, y float64) { p.d = fmt.Appendf(p.d, "M%g %g", tenth(x), tenth(y)) }

// String is the path as SVG has it, empty for none.
func (p Path) String() string { return string(p.d) }

// Outline is that of peaks in a row over a floor, one a step of x from its Lo on; empty for
// none.
func Outline(peaks []float32, x, y Axis) (outline Path) {
	if len(peaks) == 0 {
		return outline
	}
	outline.To(x.At(x.Lo), y.From)
	for i, v := range peaks {
		outline.To(x.At(x.Lo+float64(i)), y.At(float64(min(v, 1))))
	}
	outline.To(x.At(x.Lo+float64(len(peaks))), y.From)
	return outline
}
