package report

import (
	"math"
	"time"

	"drylane/show/drift"
)

// Figures are a sheet's numbers, for programs. Times are in seconds; positive
// drift means that the cues are late.
type Figures struct {
	Session    string       `json:"session"`
	Began      time.Time    `json:"began"`
	Show       string       `json:"show"`
	State      string       `json:"state"`
	Person     string       `json:"person,omitempty"`
	Bias       float64      `json:"bias_s"`
	Calibrated bool         `json:"calibrated"`
	Taps       []TapFigures `json:"taps"`
	List       Estimates    `json:"list"` // the cue list as written, with no nudge
	Eras       []EraFigures `json:"eras,omitempty"`
	// Joined are the taps of the crew's listeners; nil when none tapped.
	Joined *PlaceFigures `json:"joined,omitempty"`
}

// Estimates are the numbers of one analysis.
type Estimates struct {
	Show     Interval   `json:"show"`
	Lanes    []Interval `json:"lanes"`
	Sections []Interval `json:"sections"`
	Rate     *Growth    `json:"rate,omitempty"` // nil when there are too few taps
	Code     string     `json:"code"`
	Nudge    float64    `json:"nudge_s"` // to make; positive = cues earlier
	Lane     string     `json:"lane_apart,omitempty"`
	Verdict  string     `json:"verdict"`
}

// An Interval is an estimate with its bounds of 95 % confidence.
type Interval struct {
	Name   string  `json:"name,omitempty"`
	From   float64 `json:"from_s,omitempty"`
	To     float64 `json:"to_s,omitempty"`
	Taps   int     `json:"taps"`
	Late   float64 `json:"late_s"`
	Low    float64 `json:"low_s"`
	High   float64 `json:"high_s"`
	Spread float64 `json:"spread_s"`
}

// A Growth is how fast the drift grows, in parts per million.
type Growth struct {
	PPM   float64 `json:"ppm"`
	Low   float64 `json:"low_ppm"`
	High  float64 `json:"high_ppm"`
	Grows bool    `json:"grows"` // beyond chance
}

// TapFigures are the numbers of one tap.
type TapFigures struct {
	At      float64  `json:"at_s"`
	Cue     string   `json:"cue,omitempty"`
	Lanes   []string `json:"lanes,omitempty"`
	Late    *float64 `json:"late_s,omitempty"` // nil without a cue
	Outcome Outcome  `json:"outcome"`
}

// EraFigures are the numbers between two nudges, of the cues as in force.
type EraFigures struct {
	Nudge float64 `json:"nudge_s"`
	Taps  int     `json:"taps"`
	Estimates
}

// Figures returns the numbers of the sheet.
func (s *Sheet) Figures() Figures {
	h := s.Run.Header
	f := Figures{Session: s.Name, Began: h.Began, Show: h.Title, State: s.Run.StateWords(), Person: s.Person.Name,
		Bias: s.Person.Bias.Seconds(), Calibrated: s.Person.Calibrated, Taps: []TapFigures{}, List: estimates(s.List)}
	for _, p := range s.Points() {
		t := TapFigures{At: s.Run.At(p.Heard).Seconds(), Cue: p.Cue, Lanes: p.Lanes, Outcome: p.Outcome}
		if p.Outcome != Loose {
			late := p.Residual.Seconds()
			t.Late = &late
		}
		f.Taps = append(f.Taps, t)
	}
	for _, e := range s.Eras {
		f.Eras = append(f.Eras, EraFigures{e.Nudge.Seconds(), e.Taps, estimates(e.Drift)})
	}
	if s.Places != nil {
		f.Joined = placeFigures(s.Places)
	}
	return f
}

func estimates(r drift.Report) Estimates {
	e := Estimates{Show: interval(drift.Group{Estimate: r.Show}), Lanes: []Interval{}, Sections: []Interval{},
		Code: string(r.Verdict.Code), Nudge: r.Verdict.Nudge.Seconds(), Lane: r.Verdict.Lane, Verdict: r.Verdict.Text}
	for _, g := range r.Lanes {
		e.Lanes = append(e.Lanes, interval(g))
	}
	for _, g := range r.Sections {
		e.Sections = append(e.Sections, interval(g))
	}
	if !math.IsNaN(r.Rate.Slope) {
		e.Rate = &Growth{r.Rate.Slope * 1e6, r.Rate.Low * 1e6, r.Rate.High * 1e6, r.Rate.Grows}
	}
	return e
}

func interval(g drift.Group) Interval {
	e := g.Estimate
	return Interval{g.Name, g.From.Seconds(), g.To.Seconds(), e.N, e.Offset.Seconds(), e.Low.Seconds(), e.High.Seconds(), e.Spread.Seconds()}
}
