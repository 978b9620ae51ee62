package season

import (
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"
	"time"

	"drylane/show/words"
)

// Care ends every book.
const Care = "A run of a drill is practice on a laptop and no licence: who may do what in the field is decided by local law and the licensed operator in charge."

// dayOf writes a day.
func dayOf(t time.Time) string { return t.Format("2006-01-02") }

// Words say how a need stands: current first, then what is missing.
func (h Held) Words() string {
	switch {
	case h.Met:
		return "current until " + dayOf(h.Until)
	case h.Runs == 0:
		return "DUE: never run"
	case h.Last.IsZero() && h.Signed && h.Best >= h.Score:
		return "DUE: no signed run"
	case h.Last.IsZero():
		return fmt.Sprintf("DUE: best %d, wanted %d", h.Best, h.Score)
	case h.Count == 0:
		return "DUE since " + dayOf(h.Last.Add(h.Within))
	}
	return fmt.Sprintf("DUE: %d of %s", h.Count, words.Count(h.Times, "run"))
}

// Asks says what the need asks for.
func (n Need) Asks() string {
	s := fmt.Sprintf("%s in %.4g days, score %d", words.Count(n.Times, "run"), n.Within.Hours()/24, n.Score)
	if n.Signed {
		s += ", signed"
	}
	return s
}

// Word is how somebody stands in one word.
func (st Standing) Word() string {
	if st.Current {
		return "current"
	}
	return "DUE"
}

// Reacts says how fast calls to hold were answered.
func (st Standing) Reacts() string {
	if st.Calls == 0 {
		return "no call to hold yet"
	}
	s := fmt.Sprintf("%s to hold: half answered within %s, nine of ten within %s", words.Count(st.Calls, "call"),
		secondsOf(Within(st.Holds, 0.5)), secondsOf(Within(st.Holds, 0.9)))
	if st.Missed > 0 {
		s += fmt.Sprintf("; %d missed, which count as missed", st.Missed)
	}
	if st.Needless > 0 {
		s += fmt.Sprintf("; %s apart: a cost to the show, no fault", words.Count(st.Needless, "needless hold"))
	}
	return s
}

func secondsOf(x float64) string {
	if math.IsInf(x, 1) {
		return "no time"
	}
	return fmt.Sprintf("%.1f s", x)
}

// WriteText writes the book as tables, those who are due first in words as well.
func (b *Book) WriteText(w io.Writer) error {
	var out strings.Builder
	due := 0
	for _, st := range b.Members {
		if !st.Current {
			due++
		}
	}
	title := b.Curriculum.Title
	if title == "" {
		title = "The crew"
	}
	fmt.Fprintf(&out, "%s on %s: %d of %d current, %d due\n", title, dayOf(b.On), len(b.Members)-due, len(b.Members), due)
	for _, st := range b.Members {
		fmt.Fprintf(&out, "\n%s: %s\n", st.Name, st.Word())
		t := tabwriter.NewWriter(&out, 0, 0, 2, ' ', 0)
		for _, h := range st.Needs {
			fmt.Fprintf(t, "  %s\t%s\t%s\n", h.Drill, h.Words(), h.Asks())
		}
		t.Flush()
		if len(st.Needs) == 0 {
			out.WriteString("  nothing is asked of these roles\n")
		}
		fmt.Fprintf(&out, "  %s\n", st.Reacts())
	}
	fmt.Fprintf(&out, "\n%s\n", Care)
	_, err := io.WriteString(w, out.String())
	return err
}
