package report

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"drylane/show"
	"drylane/show/drift"
	"drylane/show/words"
)

// writePlaces prints what the taps of the crew's listeners tell, by place, and what they
// tell together, which stands last.
func (s *Sheet) writePlaces(w io.Writer) error {
	j := s.Places
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	if len(j.Places) > 0 {
		fmt.Fprintf(t, "listeners, by place\tcues there\t%s\t95 %% between\ttaps\twho\n", j.Whom())
	} else {
		fmt.Fprintln(t, "listeners")
	}
	for _, p := range j.Places {
		fmt.Fprintf(t, "  %s\t%s\t%s\t%s\t%d\t%s\n", show.Clean(p.Name), words.Late(p.There), words.Late(p.For.Offset),
			betweenWords(p.For.Low, p.For.High), p.For.N, strings.Join(p.Listeners, ", "))
	}
	if err := t.Flush(); err != nil {
		return err
	}
	for _, line := range s.aside() {
		fmt.Fprintf(w, "  %s\n", line)
	}
	_, err := fmt.Fprintln(w, show.Clean(j.Verdict.Text))
	return err
}

// aside tell of the listeners who are not joined with the others, and of those whose
// habit is not known.
func (s *Sheet) aside() (lines []string) {
	var loose []string
	for i := range s.Places.Heard {
		h := &s.Places.Heard[i]
		if why := h.Why(); why != "" {
			at := ""
			if h.Place != "" {
				at = " (" + show.Clean(h.Place) + ")"
			}
			lines = append(lines, fmt.Sprintf("%s%s, %s, not joined: %s", h.Name, at, words.Count(len(h.Taps), "tap"), why))
		} else if h.Habit == nil {
			loose = append(loose, h.Name)
		}
	}
	if len(loose) > 0 {
		lines = append(lines, "not calibrated, taken as people usually tap: "+words.List(loose))
	}
	return cleaned(lines)
}

// PlaceLines tell of each place, and of all together; none where no listener tapped.
func (s *Sheet) PlaceLines() []string {
	if s.Places == nil {
		return nil
	}
	var lines []string
	for _, p := range s.Places.Places {
		lines = append(lines, fmt.Sprintf("%s (%s): cues %s there, %s %s, 95 %% between %s, %s", p.Name, words.List(p.Listeners), words.Late(p.There),
			words.Late(p.For.Offset), s.Places.Whom(), betweenWords(p.For.Low, p.For.High), words.Count(p.For.N, "tap")))
	}
	return cleaned(append(append(lines, s.aside()...), s.Places.Verdict.Text))
}

// PlaceFigures are the numbers of the crew's taps.
type PlaceFigures struct {
	For       string            `json:"for"`
	Show      Interval          `json:"show"`
	Chance    float64           `json:"chance"` // of places so far apart by their errors alone
	Places    []PlaceInterval   `json:"places"`
	Listeners []ListenerFigures `json:"listeners"`
	Code      string            `json:"code"`
	Nudge     float64           `json:"nudge_s"`
	Apart     string            `json:"place_apart,omitempty"`
	Verdict   string            `json:"verdict"`
}

// A PlaceInterval is one place: the interval is for whom all is reckoned, There is how
// late the cues are at the place itself, Way how much later the music comes there.
type PlaceInterval struct {
	Interval
	There float64 `json:"there_s"`
	Way   float64 `json:"way_s"`
}

// ListenerFigures are the numbers of one listener.
type ListenerFigures struct {
	Interval
	Place      string `json:"place,omitempty"`
	Calibrated bool   `json:"calibrated"`
	Why        string `json:"not_joined,omitempty"`
}

func placeFigures(j *drift.Places) *PlaceFigures {
	f := &PlaceFigures{For: j.Whom(), Show: interval(drift.Group{Estimate: j.Show}), Chance: j.Chance, Code: string(j.Verdict.Code),
		Nudge: j.Verdict.Nudge.Seconds(), Apart: j.Verdict.Lane, Verdict: j.Verdict.Text, Places: []PlaceInterval{}}
	for _, p := range j.Places {
		f.Places = append(f.Places, PlaceInterval{interval(drift.Group{Name: p.Name, Estimate: p.For}), p.There.Seconds(), p.Way.Seconds()})
	}
	for i := range j.Heard {
		h := &j.Heard[i]
		f.Listeners = append(f.Listeners, ListenerFigures{interval(drift.Group{Name: h.Name, Estimate: h.Report.Show}), h.Place, h.Habit != nil, h.Why()})
	}
	return f
}
