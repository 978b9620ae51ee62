package drill

import "time"

// Figures are a result for programs. Times are in seconds.
type Figures struct {
	Session  string          `json:"session,omitempty"`
	Drill    string          `json:"drill"`
	Title    string          `json:"title"`
	Level    int             `json:"level"`
	Seed     uint64          `json:"seed"`
	Show     string          `json:"show"`
	Person   string          `json:"person,omitempty"`
	Began    time.Time       `json:"began"`
	Run      int             `json:"run"` // which of the session's
	Finished bool            `json:"finished"`
	Ended    string          `json:"ended"`
	Score    *int            `json:"score"` // of 100; null when nothing was scored
	Length   float64         `json:"length_s"`
	Measures []LineFigures   `json:"measures"`
	Moments  []MomentFigures `json:"moments"`
}

// LineFigures are what came of one measure. Value is null when there is none:
// then Never says that what was wanted did not come, and otherwise the measure
// was left out.
type LineFigures struct {
	Measure Kind     `json:"measure"`
	Step    string   `json:"step,omitempty"`
	Value   *float64 `json:"value"`
	Never   bool     `json:"never,omitempty"`
	Grade   Grade    `json:"grade"`
	Good    float64  `json:"good"`
	Pass    float64  `json:"pass"`
	Weight  float64  `json:"weight"`
	Points  float64  `json:"points"`
	Of      float64  `json:"of"`
	Says    string   `json:"says"`
}

// MomentFigures are one thing on the timeline. Answer is the place, from 0, of
// the moment that answers it, After seconds later.
type MomentFigures struct {
	Since  float64    `json:"since_start_s"`
	Heard  float64    `json:"music_s"`
	Kind   MomentKind `json:"kind"`
	Text   string     `json:"text"`
	Hand   bool       `json:"by_hand,omitempty"`
	Wants  Want       `json:"wants,omitempty"`
	Answer *int       `json:"answer,omitempty"`
	After  *float64   `json:"after_s,omitempty"`
}

// Figures returns the result for programs.
func (res *Result) Figures() Figures {
	f := Figures{Session: res.Session, Drill: res.Drill, Title: res.Title, Level: res.Level, Seed: res.Seed, Show: res.Show,
		Person: res.Person, Began: res.Began, Run: res.Run, Finished: res.Finished, Ended: res.Ended,
		Length: res.Length.Seconds(), Measures: []LineFigures{}, Moments: []MomentFigures{}}
	if res.Scored {
		f.Score = &res.Score
	}
	for _, l := range res.Lines {
		f.Measures = append(f.Measures, l.figures())
	}
	for _, m := range res.Moments {
		f.Moments = append(f.Moments, m.figures())
	}
	return f
}

func (l Line) figures() LineFigures {
	f := LineFigures{Measure: l.Kind, Step: l.Step, Grade: l.Grade, Good: l.Good, Pass: l.Pass, Weight: l.weight(),
		Points: l.Points, Of: l.Of, Says: l.Says}
	if f.Never = l.Value.Endless(); !f.Never && l.Grade != LeftOut {
		v := float64(l.Value)
		f.Value = &v
	}
	return f
}

func (m Moment) figures() MomentFigures {
	f := MomentFigures{Since: m.Since.Seconds(), Heard: m.Heard.Seconds(), Kind: m.Kind, Text: m.Text, Hand: m.Hand, Wants: m.Wants}
	if m.Answer >= 0 {
		after := m.After.Seconds()
		f.Answer, f.After = &m.Answer, &after
	}
	return f
}
