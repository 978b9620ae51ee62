package drill

import "time"

// ProgressFigures are a progress for programs.
type ProgressFigures struct {
	People []PersonFigures `json:"people"`
}

// PersonFigures are one person's.
type PersonFigures struct {
	Name     string           `json:"name"`
	Runs     int              `json:"runs"`
	Drills   []CourseFigures  `json:"drills"`
	Measures []ReadingFigures `json:"measures"`
}

// CourseFigures are the runs of one drill, the oldest first.
type CourseFigures struct {
	Drill string        `json:"drill"`
	Title string        `json:"title"`
	Level int           `json:"level"`
	Runs  []MarkFigures `json:"runs"`
	Trend *TrendFigures `json:"trend"` // null with too few runs to tell
	Says  string        `json:"says"`
}

// MarkFigures are the score of one run; null when nothing was scored.
type MarkFigures struct {
	Began    time.Time `json:"began"`
	Session  string    `json:"session,omitempty"`
	Score    *int      `json:"score"`
	Finished bool      `json:"finished"`
}

// ReadingFigures are what one kind of measure came to, the oldest first.
type ReadingFigures struct {
	Measure Kind            `json:"measure"`
	Values  []SampleFigures `json:"values"`
	Trend   *TrendFigures   `json:"trend"`
	Says    string          `json:"says"`
}

// SampleFigures are one value, in seconds or a count; null for one without end.
type SampleFigures struct {
	Began time.Time `json:"began"`
	Drill string    `json:"drill"`
	Value *float64  `json:"value"`
}

// TrendFigures are a change from the first run to the last.
type TrendFigures struct {
	Runs   int     `json:"runs"`
	Change float64 `json:"change"`
	Sure   bool    `json:"sure"` // not chance, with 95 % confidence
}

// Figures returns the progress for programs.
func (p *Progress) Figures() ProgressFigures {
	f := ProgressFigures{People: []PersonFigures{}}
	for _, who := range p.People {
		pf := PersonFigures{Name: who.Name, Runs: who.Runs, Drills: []CourseFigures{}, Measures: []ReadingFigures{}}
		for _, c := range who.Drills {
			pf.Drills = append(pf.Drills, c.figures())
		}
		for _, r := range who.Kinds {
			pf.Measures = append(pf.Measures, r.figures())
		}
		f.People = append(f.People, pf)
	}
	return f
}

func (c *Course) figures() CourseFigures {
	f := CourseFigures{Drill: c.Drill, Title: c.Title, Level: c.Level, Trend: c.Trend.figures(), Says: c.Words()}
	for _, m := range c.Runs {
		mf := MarkFigures{Began: m.Began, Session: m.Session, Finished: m.Finished}
		if m.Scored {
			mf.Score = &m.Score
		}
		f.Runs = append(f.Runs, mf)
	}
	return f
}

func (r *Reading) figures() ReadingFigures {
	f := ReadingFigures{Measure: r.Kind, Trend: r.Trend.figures(), Says: r.Words()}
	for _, s := range r.Values {
		sf := SampleFigures{Began: s.Began, Drill: s.Drill}
		if v := float64(s.Value); !s.Value.Endless() {
			sf.Value = &v
		}
		f.Values = append(f.Values, sf)
	}
	return f
}

func (t Trend) figures() *TrendFigures {
	if !t.Known {
		return nil
	}
	return &TrendFigures{t.Runs, t.Change, t.Sure}
}
