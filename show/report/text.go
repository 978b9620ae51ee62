package report

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"drylane/show"
	"drylane/show/drift"
	"drylane/show/timebase"
	"drylane/show/words"
)

// WriteDrift prints the drift of the sheet for a terminal: the verdict, the
// estimates, and how many taps do not count.
func (s *Sheet) WriteDrift(w io.Writer) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "%s: %s\n%s\n%s\n\n", s.Name, s.Headline(), s.PersonWords(), s.Verdict())
	if s.List.Show.N > 0 {
		s.writeEstimates(t)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	if err := s.writeUncounted(w); err != nil || s.Places == nil {
		return err
	}
	return s.writePlaces(w)
}

// writeUncounted says how many taps do not count, and why.
func (s *Sheet) writeUncounted(w io.Writer) error {
	var why []string
	for _, o := range []Outcome{Loose, Outlier, Unclear} {
		n := 0
		for _, p := range s.Points() {
			if p.Outcome == o {
				n++
			}
		}
		if n > 0 {
			why = append(why, fmt.Sprintf("%d %s", n, uncounted[o].several))
		}
	}
	if len(why) == 0 {
		return nil
	}
	after := ""
	if s.Places != nil {
		after = "\n"
	}
	_, err := fmt.Fprintf(w, "not counted: %s\n%s", strings.Join(why, ", "), after)
	return err
}

// uncounted says why a tap does not count, and why several do not.
var uncounted = map[Outcome]struct{ one, several string }{
	Loose:   {"no cue near", "with no cue near"},
	Outlier: {"outlier", "far from the rest"},
	Unclear: {"another cue fits as well", "that fit another cue as well"},
}

// WriteTaps prints what became of every tap. byLane lists them under the lane of the
// cue they belong to.
func (s *Sheet) WriteTaps(w io.Writer, byLane bool) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	s.writeTaps(t, byLane)
	return t.Flush()
}

func (s *Sheet) writeEstimates(w io.Writer) {
	fmt.Fprintln(w, "cue list as written\tcues\t95 % between\tspread\ttaps")
	row := func(name string, e drift.Estimate) {
		fmt.Fprintf(w, "  %s\t%s\t%s\t%s\t%d\n", show.Clean(name), words.Late(e.Offset),
			betweenWords(e.Low, e.High), seconds(e.Spread), e.N)
	}
	row("show", s.List.Show)
	for _, g := range s.List.Lanes {
		row("lane "+g.Name, g.Estimate)
	}
	if len(s.List.Sections) > 1 {
		for _, g := range s.List.Sections {
			row("section "+g.Name, g.Estimate)
		}
	}
	fmt.Fprintf(w, "  %s\n\n", s.RateWords())
	for _, e := range s.Eras {
		fmt.Fprintf(w, "as run with %s: %s\n", words.Nudge(e.Nudge), e.Drift.Verdict.Text)
	}
	if len(s.Eras) > 0 {
		fmt.Fprintln(w)
	}
}

func (s *Sheet) writeTaps(w io.Writer, byLane bool) {
	points := s.Points()
	if !byLane {
		fmt.Fprintln(w, "taps\tcues\tcue\tlane\t")
		for _, p := range points {
			s.writeTap(w, p, strings.Join(p.Lanes, " "))
		}
		return
	}
	for _, g := range s.List.Lanes {
		fmt.Fprintf(w, "taps on %s\tcues\tcue\t\t\n", show.Clean(g.Name))
		for _, p := range points {
			if slices.Contains(p.Lanes, g.Name) {
				s.writeTap(w, p, "")
			}
		}
	}
	if !slices.ContainsFunc(points, func(p Point) bool { return p.Outcome == Loose }) {
		return
	}
	fmt.Fprintln(w, "taps elsewhere\t\t\t\t")
	for _, p := range points {
		if p.Outcome == Loose {
			s.writeTap(w, p, "")
		}
	}
}

func (s *Sheet) writeTap(w io.Writer, p Point, lanes string) {
	late, mark := words.Late(p.Residual), uncounted[p.Outcome].one
	if mark != "" {
		mark += ": not counted"
	}
	if p.Outcome == Loose {
		late = "-"
	}
	fmt.Fprintf(w, "  %s\t%s\t%s\t%s\t%s\n", timebase.ClockMillis(s.Run.At(p.Heard)), late, p.Cue, lanes, mark)
}

// Headline names the show and says how the run went.
func (s *Sheet) Headline() string { return show.Clean(s.Run.Header.Title) + ", " + s.Run.Course() }

// Course says in one line how far the run went.
func (r *Run) Course() string {
	if !r.Started() {
		return "no music was played"
	}
	text := fmt.Sprintf("%s at %s of %s", r.StateWords(), timebase.ClockMillis(r.At(r.Heard)), timebase.ClockMillis(r.At(r.Plan.Length)))
	if r.Of > 1 {
		text += fmt.Sprintf(", the last of %d runs", r.Of)
	}
	return text
}

// StateWords says how the run ended.
func (r *Run) StateWords() string {
	switch {
	case r.State == show.Safe:
		return "cut"
	case r.State == show.Ended:
		return "played to the end"
	case r.Torn:
		return "log torn off while " + r.State.String()
	case !r.Closed:
		return "log not closed, " + r.State.String()
	}
	return "left while " + r.State.String()
}

// PersonWords says whose taps they are and what was taken off them.
func (s *Sheet) PersonWords() string {
	p := s.Person
	switch {
	case p.Calibrated:
		return fmt.Sprintf("taps of %s, calibrated: %s is taken off each", p.Name, words.LateMS(p.Bias, "0 ms late"))
	case p.Name != "":
		return fmt.Sprintf("taps of %s, not calibrated: taken as they are", p.Name)
	}
	return "taps without a name, not calibrated: taken as they are (--person NAME says whose they are)"
}

// Verdict is what to do, in words.
func (s *Sheet) Verdict() string {
	switch {
	case len(s.Run.Taps) == 0 && s.Places != nil:
		return "no taps at the console"
	case len(s.Run.Taps) == 0:
		return "no taps: nothing says whether the cues were late or early"
	}
	return show.Clean(s.List.Verdict.Text)
}

// RateWords says whether the drift grows.
func (s *Sheet) RateWords() string {
	r := s.List.Rate
	if r.N < 3 || r.Slope != r.Slope {
		return "too few taps to say whether the drift grows"
	}
	const perMinute = 60_000
	text := fmt.Sprintf("%+.0f ms a minute (95 %% between %+.0f and %+.0f)", r.PerMinute(), r.Low*perMinute, r.High*perMinute)
	switch {
	case r.Grows:
		return "the drift grows: " + text
	case r.Low > 0 || r.High < 0:
		return "the drift may grow, which is not sure: " + text
	}
	return "no growth beyond chance: " + text
}

// betweenWords writes an interval of drifts.
func betweenWords(low, high time.Duration) string {
	switch {
	case low > 0:
		return fmt.Sprintf("%.2f and %.2f s late", low.Seconds(), high.Seconds())
	case high < 0:
		return fmt.Sprintf("%.2f and %.2f s early", -low.Seconds(), -high.Seconds())
	}
	return fmt.Sprintf("%.2f s early and %.2f s late", low.Abs().Seconds(), high.Seconds())
}

// seconds writes a length of time in hundredths.
func seconds(d time.Duration) string { return fmt.Sprintf("%.2f s", d.Seconds()) }
