package report

import (
	"drylane/show/page"
	"drylane/show/words"
)

// A trendView is the estimates of several runs side by side, oldest first.
type trendView struct {
	Width, Height float64
	Top, Bottom   float64
	Left, Right   float64
	Zero          float64
	Late          page.Rules
	Days          page.Labels
	Bars          []trendBar
}

// A trendBar is one run's estimate with its interval. Without taps to go by it
// has only a place.
type trendBar struct {
	X, Y, Low, High float64
	Known           bool
	Text            string
}

// maxTrend is how many runs a trend shows: the latest.
const maxTrend = 40

func trendChart(sheets []*Sheet) trendView {
	sheets = sheets[max(0, len(sheets)-maxTrend):]
	c := trendView{Width: chartWidth, Height: 240, Top: 14, Bottom: 200, Left: marginLeft, Right: chartWidth - marginEnd}
	var earliest, latest float64
	for _, s := range sheets {
		if e := s.List.Show; e.N > 0 {
			earliest, latest = min(earliest, e.Low.Seconds()), max(latest, e.High.Seconds())
		}
	}
	y := lateAxis(earliest, latest, c.Top, c.Bottom)
	c.Zero, c.Late = y.At(0), lateRules(y, c.Left, c.Right)
	x := page.Axis{Lo: -0.5, Hi: float64(len(sheets)) - 0.5, From: c.Left, To: c.Right}
	c.Days.Y = c.Bottom + 22
	for i, s := range sheets {
		e := s.List.Show
		b := trendBar{X: x.At(float64(i)), Known: e.N > 0, Text: s.Name + ": " + words.Late(e.Offset)}
		b.Y, b.Low, b.High = y.At(e.Offset.Seconds()), y.At(e.Low.Seconds()), y.At(e.High.Seconds())
		c.Bars = append(c.Bars, b)
		c.Days.Ticks = append(c.Days.Ticks, page.Tick{At: b.X, Text: s.Run.Header.Began.Format("01-02")})
	}
	return c
}
