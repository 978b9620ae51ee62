package report

import (
	"fmt"
	"math"
	"strings"

	"drylane/show/page"
)

// The drawing board of a chart, in its own units. It is scaled to the page.
const (
	chartWidth = 960
	marginLeft = 116
	marginEnd  = 16
)

// musicAxis runs along the music of a run.
func musicAxis(r *Run) page.Axis {
	return page.Axis{Lo: 0, Hi: max(1, r.At(r.Plan.Length).Seconds()), From: marginLeft, To: chartWidth - marginEnd}
}

// lateAxis runs upwards from the earliest drift to the latest, with some room
// around them; zero is always on it.
func lateAxis(earliest, latest, top, bottom float64) page.Axis {
	least := 0.15 // seconds to a side: smaller drifts need no magnifying glass
	room := max(0.05, 0.15*(latest-earliest))
	return page.Axis{Lo: min(-least, earliest-room), Hi: max(least, latest+room), From: bottom, To: top}
}

// lateRules are lines at round drifts, from left to right.
func lateRules(y page.Axis, left, right float64) page.Rules {
	steps := []float64{0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5}
	return page.Rules{Left: left, Right: right, Ticks: y.Ticks(7, steps, func(s float64) string {
		switch {
		case s < 0:
			return fmt.Sprintf("%.4g s early", -s)
		case s > 0:
			return fmt.Sprintf("%.4g s late", s)
		}
		return "on the music"
	})}
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
