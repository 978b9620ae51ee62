package drill

import (
	"time"

	"drylane/show/page"
)

// A timeline draws a run over wall time: what broke, what was called, what the
// trainee did, each in a lane, numbered as in the table below it.
type timeline struct {
	Width, Height float64
	Left, Right   float64
	Bottom        float64 // of the lanes
	Time          page.Labels
	Lanes         []timeLane
	Held          []timeBox
	Links         []timeLink
}

// A timeLane holds the flags of one kind of moment.
type timeLane struct {
	Name           string
	Y, Text, Floor float64 // its top, where its name stands, its bottom
	Flags          []timeFlag
}

// A timeFlag is one moment.
type timeFlag struct {
	X, Y  float64
	N     int // its number, from 1
	Title string
}

// A timeBox is a stretch in which the music stood still.
type timeBox struct{ X, Width float64 }

// A timeLink leads from what was asked for to the answer.
type timeLink struct {
	X1, Y1, X2, Y2 float64
	TextX, TextY   float64
	Text           string
}

// The measures of the drawing, in its own units; it is scaled to the page.
const (
	chartWidth = 960
	chartLeft  = 70
	chartRight = chartWidth - 20
	flagRoom   = 22 // of one flag
	laneGap    = 22 // between the flags of two lanes
	maxStack   = 5  // flags above one another
	maxFlags   = 150
)

// Timeline draws the run.
func (res *Result) Timeline() timeline {
	t := timeline{Width: chartWidth, Left: chartLeft, Right: chartRight, Bottom: 4}
	x := res.axis()
	t.Time.Ticks = x.TimeTicks(10)
	moments := res.Moments[:min(len(res.Moments), maxFlags)]
	where := make([]timeFlag, len(moments))
	for _, kind := range [...]MomentKind{IsFault, IsCall, IsAction, IsRun} {
		lane := timeLane{Name: string(kind), Y: t.Bottom, Text: t.Bottom + laneGap/2 + flagRoom/2 + 4}
		rows := []float64{} // where the last flag of each row stands
		for i, m := range moments {
			if m.Kind != kind {
				continue
			}
			f := timeFlag{X: x.At(min(max(m.Since.Seconds(), x.Lo), x.Hi)), N: i + 1, Title: clock(m.Since) + " " + m.Words()}
			f.Y = t.Bottom + laneGap/2 + flagRoom*(float64(rowFor(&rows, f.X))+0.5)
			where[i] = f
			lane.Flags = append(lane.Flags, f)
		}
		if len(lane.Flags) > 0 {
			t.Bottom += laneGap + flagRoom*float64(len(rows))
			lane.Floor = t.Bottom
			t.Lanes = append(t.Lanes, lane)
		}
	}
	for i, m := range moments {
		if m.Answer >= 0 && m.Answer < len(moments) {
			t.Links = append(t.Links, linkOf(where[i], where[m.Answer], m.After))
		}
	}
	for _, h := range res.Holds[:min(len(res.Holds), maxFlags)] {
		from, to := x.At(h.From.Seconds()), x.At(h.To.Seconds())
		t.Held = append(t.Held, timeBox{from, max(1, to-from)})
	}
	t.Time.Y = t.Bottom + 18
	t.Height = t.Bottom + 26
	return t
}

// axis runs from the first moment to the end. What is long before the start
// is drawn at the edge.
func (res *Result) axis() page.Axis {
	var before time.Duration
	if len(res.Moments) > 0 {
		before = min(0, max(res.Moments[0].Since, -res.Length/12))
	}
	return page.Axis{Lo: before.Seconds(), Hi: max(1, res.Length.Seconds()), From: chartLeft + 14, To: chartRight - 14}
}

// rowFor finds the first row in which a flag at x does not cover the one
// before it, and a new one if there is none; past maxStack they overlap.
func rowFor(rows *[]float64, x float64) int {
	for i, last := range *rows {
		if x-last >= flagRoom || i == maxStack-1 {
			(*rows)[i] = x
			return i
		}
	}
	*rows = append(*rows, x)
	return len(*rows) - 1
}

// linkOf joins two flags, with the time between them beside the middle.
func linkOf(from, to timeFlag, after time.Duration) timeLink {
	const room = 11 // the flag's own
	l := timeLink{X1: from.X, Y1: from.Y + room, X2: to.X, Y2: to.Y - room, Text: seconds(after).text() + " s"}
	if to.Y < from.Y {
		l.Y1, l.Y2 = from.Y-room, to.Y+room
	}
	l.TextX, l.TextY = (l.X1+l.X2)/2+6, (l.Y1+l.Y2)/2+4
	return l
}
