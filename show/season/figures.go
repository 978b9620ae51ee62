package season

import (
	"math"
	"time"
)

// BookFigures are a book for programs.
type BookFigures struct {
	Title   string            `json:"title"`
	On      time.Time         `json:"on"`
	Members []StandingFigures `json:"members"`
}

// StandingFigures are how one of the crew stands. The times are in seconds, null where
// so many calls were never answered, or none was made.
type StandingFigures struct {
	Name      string        `json:"name"`
	Roles     []string      `json:"roles"`
	Current   bool          `json:"current"`
	Needs     []HeldFigures `json:"needs"`
	Calls     int           `json:"calls_to_hold"`
	Missed    int           `json:"missed"`
	Needless  int           `json:"needless_holds"`
	Half      *float64      `json:"half_within_s"`
	NineOfTen *float64      `json:"nine_of_ten_within_s"`
}

// HeldFigures are how a need stands.
type HeldFigures struct {
	Drill string     `json:"drill"`
	Role  string     `json:"role"`
	Met   bool       `json:"current"`
	Until *time.Time `json:"until"` // null where it is due
	Runs  int        `json:"runs"`
	Best  int        `json:"best"`
	Count int        `json:"count"`
	Says  string     `json:"says"`
}

// Figures returns the book for programs.
func (b *Book) Figures() BookFigures {
	f := BookFigures{Title: b.Curriculum.Title, On: b.On, Members: []StandingFigures{}}
	for _, st := range b.Members {
		o := StandingFigures{
			Name: st.Name, Roles: append([]string{}, st.Roles...), Current: st.Current, Needs: []HeldFigures{},
			Calls: st.Calls, Missed: st.Missed, Needless: st.Needless, Half: st.within(0.5), NineOfTen: st.within(0.9),
		}
		for _, h := range st.Needs {
			n := HeldFigures{Drill: h.Drill, Role: h.Role, Met: h.Met, Runs: h.Runs, Best: h.Best, Count: h.Count, Says: h.Words()}
			if h.Met {
				n.Until = &h.Until
			}
			o.Needs = append(o.Needs, n)
		}
		f.Members = append(f.Members, o)
	}
	return f
}

// within is Within, nil where there is no such time.
func (st Standing) within(share float64) *float64 {
	if s := Within(st.Holds, share); !math.IsInf(s, 1) {
		return &s
	}
	return nil
}
