package report

import (
	"fmt"
	"math"
	"strings"
	"time"

	"drylane/show/timebase"
)

// The drawing board of a chart, in its own units. It is scaled to the page.
const (
	chartWidth = 960
	marginLeft = 116
	marginEnd  = 16
)

// A Tick is a labelled place on an axis.
type Tick struct {
	At   float64
	Text string
}

// An Axis maps a range of seconds to places on the board.
type Axis struct {
	Lo, Hi   float64 // seconds
	From, To float64 // places
}

// At is the place of a moment, to a tenth.
func (a Axis) At(seconds float64) float64 {
	if a.Hi <= a.Lo {
		return a.From
	}
	x := a.From + (seconds-a.Lo)/(a.Hi-a.Lo)*(a.To-a.From)
	return math.Round(x*10) / 10
}

// musicAxis runs along the music of a run.
func musicAxis(r *Run) Axis {
	return Axis{0, max(1, r.At(r.Plan.Length).Seconds()), marginLeft, chartWidth - marginEnd}
}

// timeSteps are the steps that people count minutes and seconds in.
var timeSteps = [...]float64{1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400}

// TimeTicks marks moments from zero on, at most most of them.
func (a Axis) TimeTicks(most int) []Tick {
	step := timeSteps[len(timeSteps)-1]
	for _, s := range timeSteps {
		if (a.Hi-a.Lo)/s <= float64(most) {
			step = s
			break
		}
	}
	var out []Tick
	for i := 0; float64(i)*step <= a.Hi && i <= 2*most; i++ {
		s := float64(i) * step
		text, _, _ := strings.Cut(timebase.ClockMillis(time.Duration(s)*time.Second), ".")
		out = append(out, Tick{a.At(s), text})
	}
	return out
}

// lateAxis runs upwards from the earliest drift to the latest, with some room
// around them; zero is always on it.
func lateAxis(earliest, latest, top, bottom float64) Axis {
	least := 0.15 // seconds to a side: smaller drifts need no magnifying glass
	room := max(0.05, 0.15*(latest-earliest))
	return Axis{min(-least, earliest-room), max(least, latest+room), bottom, top}
}

// lateTicks marks drifts.
func (a Axis) lateTicks() []Tick {
	step := 5.0
	for _, s := range [...]float64{0.02, 0.05, 0.1, 0.2, 0.5, 1, 2} {
		if (a.Hi-a.Lo)/s <= 7 {
			step = s
			break
		}
	}
	var out []Tick
	for i := int(math.Ceil(a.Lo / step)); float64(i)*step <= a.Hi && len(out) < 20; i++ {
		s := float64(i) * step
		text := "on the music"
		switch {
		case i < 0:
			text = fmt.Sprintf("%.4g s early", -s)
		case i > 0:
			text = fmt.Sprintf("%.4g s late", s)
		}
		out = append(out, Tick{a.At(s), text})
	}
	return out
}

// strokes draws short vertical lines of the given height whose tops are at y.
// Lines at one place are drawn once, so that the longest list stays small.
func strokes(xs []float64, y, height float64) string {
	var b strings.Builder
	drawn := map[float64]bool{}
	for _, x := range xs {
		if x = math.Round(x*2) / 2; !drawn[x] {
			drawn[x] = true
			fmt.Fprintf(&b, "M%g %gv%g", x, y, height)
		}
	}
	return b.String()
}
