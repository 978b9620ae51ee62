package report

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"drylane/show/timebase"
)

// shortList is how many cues and notes a debrief in text lists; the page has them all.
const shortList = 30

// WriteText prints the debrief for a terminal: the run, its holds, the calls that were
// off, the cues that did not go as listed, what was noted, and what the taps say, which
// stands last.
func (s *Sheet) WriteText(w io.Writer) error {
	v, r := sheetView{Sheet: s}, s.Run
	fmt.Fprintf(w, "Debrief: %s\n%s, session %s\n\n", s.Headline(), r.Header.Began.Local().Format("2006-01-02 15:04"), s.Name)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, f := range v.Facts() {
		fmt.Fprintf(t, "%s\t%s\t%s\n", f.Name, f.Value, f.Note)
	}
	for _, x := range []struct {
		head  string
		lines []string
	}{{"field board", r.FieldLines()}, {"who was go", r.ReadyLines()}, {"made safe", r.SafeLines()}, {"crew", r.CrewLines()}} {
		if len(x.lines) > 0 {
			fmt.Fprintf(t, "\n%s\n  %s\n", x.head, strings.Join(x.lines, "\n  "))
		}
	}
	s.writeHolds(t)
	if off := r.CallsOff(); len(off) > 0 {
		fmt.Fprintln(t, "\nspoken calls")
		for _, text := range off {
			fmt.Fprintf(t, "  %s\n", text)
		}
	}
	if odd := v.Odd(); len(odd) > 0 {
		fmt.Fprintln(t, "\ncues that did not go as listed")
		for _, c := range odd[:min(len(odd), shortList)] {
			fmt.Fprintf(t, "  %s\t%s\t%s\t%s\t%s\n", c.ID, v.Moment(c.Listed), c.Position, c.Effect, c.What)
		}
		writeMore(t, len(odd)+v.MoreOdd())
	}
	if len(r.Marks) > 0 {
		fmt.Fprintln(t, "\nnoted")
		for _, m := range r.Marks[:min(len(r.Marks), shortList)] {
			fmt.Fprintf(t, "  %s\t%s\t%s\n", v.Moment(m.Heard), m.Kind, m.Text)
		}
		writeMore(t, len(r.Marks))
	}
	if err := t.Flush(); err != nil {
		return err
	}
	if _, err := fmt.Fprintf(w, "\n%s\n%s\n", s.PersonWords(), s.Verdict()); err != nil || s.Places == nil {
		return err
	}
	fmt.Fprintln(w)
	return s.writePlaces(w)
}

// writeMore says how many of n were left out.
func writeMore(w io.Writer, n int) {
	if n > shortList {
		fmt.Fprintf(w, "  and %d more: the page has them, --html OUT\n", n-shortList)
	}
}

// writeHolds lists the holds, each with why, for how long, and how soon it answered
// what was said before it.
func (s *Sheet) writeHolds(w io.Writer) {
	if len(s.Run.Holds) == 0 {
		return
	}
	fmt.Fprintln(w, "\nholds\tat\tlasted\treason\tanswered")
	for i, h := range s.Run.Holds {
		reason, lasted, answered := h.Reason, seconds(h.Length)+h.EndWords(), ""
		if reason == "" {
			reason = "no reason given"
		}
		if h.Prompt != "" {
			answered = h.Prompt + ", after " + h.ReactionWords()
		}
		fmt.Fprintf(w, "  %d\t%s\t%s\t%s\t%s\n", i+1, timebase.ClockMillis(s.Run.At(h.Heard)), lasted, reason, answered)
	}
}
