package report

import (
	"fmt"
	"math"
	"strings"
	"time"

	"drylane/show"
)

// The drawing board of a chart, in its own units. It is scaled to the page.
const (
	chartWidth = 960
	marginLeft = 116
	marginEnd  = 16
)

// A tick is a labelled place on an axis.
type tick struct {
	At   float64
	Text string
}

// An axis maps a range of seconds to places on the board.
type axis struct {
	lo, hi   float64 // seconds
	from, to float64 // places
}

func (a axis) at(seconds float64) float64 {
	if a.hi <= a.lo {
		return a.from
	}
	x := a.from + (seconds-a.lo)/(a.hi-a.lo)*(a.to-a.from)
	return math.Round(x*10) / 10
}

// musicAxis runs along the music of a run.
func musicAxis(r *Run) axis {
	return axis{0, max(1, r.At(r.Plan.Length).Seconds()), marginLeft, chartWidth - marginEnd}
}

// timeSteps are the steps that people count minutes and seconds in.
var timeSteps = [...]float64{1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400}

// timeTicks marks moments of the music, at most most of them.
func (a axis) timeTicks(most int) []tick {
	step := timeSteps[len(timeSteps)-1]
	for _, s := range timeSteps {
		if (a.hi-a.lo)/s <= float64(most) {
			step = s
			break
		}
	}
	var out []tick
	for i := 0; float64(i)*step <= a.hi && i <= 2*most; i++ {
		s := float64(i) * step
		text, _, _ := strings.Cut(show.FormatTime(time.Duration(s)*time.Second), ".")
		out = append(out, tick{a.at(s), text})
	}
	return out
}

// lateAxis runs upwards from the earliest drift to the latest, with some room
// around them; zero is always on it.
func lateAxis(earliest, latest, top, bottom float64) axis {
	least := 0.15 // seconds to a side: smaller drifts need no magnifying glass
	room := max(0.05, 0.15*(latest-earliest))
	return axis{min(-least, earliest-room), max(least, latest+room), bottom, top}
}

// lateTicks marks drifts.
func (a axis) lateTicks() []tick {
	step := 5.0
	for _, s := range [...]float64{0.02, 0.05, 0.1, 0.2, 0.5, 1, 2} {
		if (a.hi-a.lo)/s <= 7 {
			step = s
			break
		}
	}
	var out []tick
	for i := int(math.Ceil(a.lo / step)); float64(i)*step <= a.hi && len(out) < 20; i++ {
		s := float64(i) * step
		text := "on the music"
		switch {
		case i < 0:
			text = fmt.Sprintf("%.4g s early", -s)
		case i > 0:
			text = fmt.Sprintf("%.4g s late", s)
		}
		out = append(out, tick{a.at(s), text})
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
