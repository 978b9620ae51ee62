package report

import (
	"fmt"
	"slices"
	"time"

	"drylane/show/page"
	"drylane/show/timebase"
	"drylane/show/words"
)

// A timelineView is a run drawn along the music: its cues by lane, its holds
// and its nudges.
type timelineView struct {
	Width, Height float64
	Time          page.Labels
	Top, Bottom   float64 // of the lanes
	Lanes         []laneRow
	Holds         []page.Tick // numbered from 1
	Unplayed      float64     // where what was not played begins; 0 when all was
	End           float64     // of the music
	Nudge         string      // a path: up is earlier
	NudgeZero     float64
	NudgeWords    []page.Tick
	Any           bool // there was a nudge
}

// A laneRow is one lane's cues as paths.
type laneRow struct {
	Name, Full                 string
	Y                          float64 // of the text
	Rule                       float64 // of the line below
	Fired, Late, Skipped, Left string
}

const (
	laneHeight  = 22
	maxLanes    = 24
	nudgeHeight = 64
)

// Timeline draws the run.
func (v sheetView) Timeline() timelineView {
	r := v.Run
	x := musicAxis(r)
	t := timelineView{Width: chartWidth, Top: 30, End: x.To, Time: page.Labels{Ticks: x.TimeTicks(10)}}
	names := lanesOf(r)
	for i, name := range names {
		t.Lanes = append(t.Lanes, laneOf(r, x, name, i == maxLanes-1 && name == "", t.Top+float64(i)*laneHeight, names))
	}
	t.Bottom = t.Top + float64(len(names))*laneHeight
	for i, h := range r.Holds {
		t.Holds = append(t.Holds, page.Tick{At: x.At(r.At(h.Heard).Seconds()), Text: fmt.Sprint(i + 1)})
	}
	if r.Heard < r.Plan.Length {
		t.Unplayed = x.At(r.At(r.Heard).Seconds())
	}
	t.Height = t.Bottom + 6
	if t.Any = len(r.Nudges) > 0; t.Any {
		t.nudges(r, x)
	}
	t.Time.Y = t.Height + 16
	t.Height += 24
	return t
}

// lanesOf are the positions in the order of the cue list; past maxLanes the
// rest share a last lane with no name.
func lanesOf(r *Run) []string {
	var names []string
	seen := map[string]bool{}
	for _, c := range r.Cues {
		if !seen[c.Position] && len(names) < maxLanes {
			names = append(names, c.Position)
		}
		seen[c.Position] = true
	}
	if len(seen) > maxLanes {
		names[maxLanes-1] = ""
	}
	return names
}

// laneOf draws one lane; rest says that it takes all that have no other.
func laneOf(r *Run, x page.Axis, name string, rest bool, top float64, names []string) laneRow {
	row := laneRow{Name: page.Fit(name, 15), Full: name, Y: top + 15, Rule: top + laneHeight}
	if rest {
		row.Name, row.Full = "others", "all other lanes"
	}
	var fired, late, skipped, left []float64
	for _, c := range r.Cues {
		if c.Position != name && !(rest && !slices.Contains(names, c.Position)) {
			continue
		}
		at := x.At(r.At(c.Listed - timebase.FrameAt(c.Nudge, r.Plan.Rate) + c.Late).Seconds())
		switch {
		case c.Ending == Before: // it stands in the run that fired it
		case c.Ending == Skipped:
			skipped = append(skipped, at)
		case c.Ending == Left:
			left = append(left, at)
		case c.Late > 0:
			late = append(late, at)
		default:
			fired = append(fired, at)
		}
	}
	// Heights tell the endings apart without colour.
	row.Fired, row.Late = strokes(fired, top+4, 14), strokes(late, top+1, 20)
	row.Skipped, row.Left = strokes(skipped, top+4, 5), strokes(left, top+13, 5)
	return row
}

// nudges draws what was asked for as a line of steps below the lanes.
func (t *timelineView) nudges(r *Run, x page.Axis) {
	most := 100 * time.Millisecond
	for _, n := range r.Nudges {
		most = max(most, n.From.Abs(), n.To.Abs())
	}
	top := t.Bottom + 18
	y := page.Axis{Lo: -most.Seconds(), Hi: most.Seconds(), From: top + nudgeHeight - 12, To: top + 12}
	t.NudgeZero = y.At(0)
	t.Nudge = fmt.Sprintf("M%g %g", x.From, y.At(r.Nudges[0].From.Seconds()))
	room := 0.0
	for _, n := range r.Nudges {
		at, to := x.At(r.At(n.Heard).Seconds()), y.At(n.To.Seconds())
		t.Nudge += fmt.Sprintf("H%gV%g", at, to)
		// Steps that follow one another share a label, which tells the last.
		const wide = 92
		said := words.Nudge(n.To)
		switch k := len(t.NudgeWords); {
		case at >= room || k == 0:
			t.NudgeWords = append(t.NudgeWords, page.Tick{At: min(at+4, x.To-wide), Text: said})
			room = at + wide
		default:
			t.NudgeWords[k-1].Text = said
		}
	}
	t.Nudge += fmt.Sprintf("H%g", x.At(r.At(min(r.Heard, r.Plan.Length)).Seconds()))
	t.Height = top + nudgeHeight
}

// Span is the width of what was not played.
func (t timelineView) Span() float64 { return t.End - t.Unplayed }

// LanesHeight is that of all lanes.
func (t timelineView) LanesHeight() float64 { return t.Bottom - t.Top }

// NudgeLabelY is where the word beside the nudge's line stands.
func (t timelineView) NudgeLabelY() float64 { return t.NudgeZero + 4 }

// NudgeTextY is where the words of the nudges stand.
func (t timelineView) NudgeTextY() float64 { return t.Bottom + 20 }
