package closeout

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"drylane/show"
	"drylane/show/timebase"
	"drylane/show/words"
)

// Care ends every record.
const Care = "What was commanded may not have gone off, and what was not commanded is still loaded: treat all of it as live until it was searched. Waiting time, search and disposal follow local law and the licensed operator in charge. This was a rehearsal on a laptop: nothing was fired."

// Heading is how things stand, in one line: what is live first.
func (r *Record) Heading() string {
	var parts []string
	if n := len(r.Live()); n > 0 {
		parts = append(parts, words.Count(n, "pin")+" to treat as live")
	}
	open, unsaid := 0, 0
	for _, s := range r.Searched {
		if s.By == "" {
			open++
			unsaid += r.commandedAt(s.Position)
		}
	}
	if unsaid > 0 {
		parts = append(parts, fmt.Sprintf("%d commanded of which nobody said anything: live until searched", unsaid))
	}
	if open > 0 {
		parts = append(parts, words.Count(open, "position")+" not searched")
	}
	if r.Torn {
		parts = append(parts, "the end of the log is missing: more may have been commanded")
	}
	if len(parts) == 0 {
		return "every position searched, no pin live"
	}
	return strings.Join(parts, "; ")
}

// commandedAt counts the pins of a position that were commanded and of which nobody said
// anything.
func (r *Record) commandedAt(position string) (n int) {
	for _, p := range r.Pins {
		if p.State == Commanded && p.Position == position {
			n++
		}
	}
	return n
}

// Counts says how many pins are in each state.
func (r *Record) Counts() string {
	var parts []string
	for _, s := range states {
		if n := r.Count(s); n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, s))
		}
	}
	return strings.Join(parts, ", ")
}

// WaitWords say from when on anybody may go in.
func (r *Record) WaitWords() string {
	short := ""
	if r.Wait < DefaultWait {
		short = fmt.Sprintf(" (%s where a show says nothing)", timebase.Clock(DefaultWait))
	}
	return fmt.Sprintf("wait %s%s after the last effect, until %s at the earliest; the operator in charge decides",
		timebase.Clock(r.Wait), short, r.Ended.Add(r.Wait).Format("15:04:05"))
}

// Place is where the pin is.
func (p Pin) Place() string {
	if p.Module == "" {
		return p.Position + ", by hand"
	}
	return fmt.Sprintf("%s, %s pin %d", p.Position, p.Module, p.Pin)
}

// Words are what is known of the pin.
func (p Pin) Words() string {
	s := string(p.State)
	if p.State == Commanded {
		s += ", " + show.NobodySaid.String()
	}
	if p.State == Loaded {
		s += " (" + string(p.Reason) + "): treat as live"
	}
	if p.By != "" {
		s += ", " + p.By
	}
	if p.Remark != "" {
		s += ": " + p.Remark
	}
	return s
}

// WriteText writes the record for a terminal: what is live first, then the search, then
// the tallies.
func (r *Record) WriteText(w io.Writer) error {
	var out strings.Builder
	fmt.Fprintf(&out, "%s\n%s, %s, session %s\n%s: %s\n", r.Heading(), or(r.Title, "untitled"), r.Began.Format("2006-01-02 15:04"), r.Session, words.Count(len(r.Pins), "pin"), r.Counts())
	fmt.Fprintf(&out, "%s\n", r.WaitWords())
	t := tabwriter.NewWriter(&out, 0, 0, 2, ' ', 0)
	if live := r.Live(); len(live) > 0 {
		fmt.Fprint(&out, "\ntreat as live\n")
		for _, p := range live {
			fmt.Fprintf(t, "  %s\tcue %s\t%s\t%s\n", p.Place(), p.ID, p.Effect, p.Words())
		}
		t.Flush()
	}
	fmt.Fprint(&out, "\nsearch\n")
	for _, s := range r.Searched {
		fmt.Fprintf(t, "  %s\t%s\n", s.Position, s.Words())
	}
	t.Flush()
	for _, f := range r.Finds {
		fmt.Fprintf(&out, "  found at %s: %s\n", f.Where, f.Words())
	}
	for _, by := range tallies {
		fmt.Fprintf(&out, "\nby %s\n", by.Name)
		fmt.Fprintf(t, "  \t%s\tall\n", strings.Join(stateWords(), "\t"))
		for _, row := range r.Tally(by.Of) {
			fmt.Fprintf(t, "  %s", row.Name)
			for _, n := range row.Counts {
				fmt.Fprintf(t, "\t%d", n)
			}
			fmt.Fprintf(t, "\t%d\n", row.All)
		}
		t.Flush()
	}
	fmt.Fprintf(&out, "\n%s\n", Care)
	_, err := io.WriteString(w, out.String())
	return err
}

func stateWords() []string {
	var list []string
	for _, s := range states {
		list = append(list, string(s))
	}
	return list
}

// Words say who searched a position.
func (s Searched) Words() string {
	switch {
	case s.By == "":
		return "NOT SEARCHED"
	case s.At == "":
		return "searched by " + s.By
	}
	return "searched by " + s.By + " at " + s.At
}

// Words say what was found, and what was done with it.
func (f Find) Words() string {
	return fmt.Sprintf("%s (%s): %s", f.What, f.By, or(f.Dealt, "NOT DEALT WITH"))
}

// columns are those of WriteCSV.
var columns = []string{"session", "cue", "position", "module", "pin", "effect", "caliber_mm", "state", "reason", "by", "remark"}

// WriteCSV writes a line for each cue as CSV (RFC 4180, UTF-8, CRLF). No text in it is
// taken for a formula by a spreadsheet.
func (r *Record) WriteCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	out.Write(columns)
	for _, p := range r.Pins {
		pin, caliber := "", ""
		if p.Module != "" {
			pin = fmt.Sprint(p.Pin)
		}
		if p.Caliber > 0 {
			caliber = fmt.Sprintf("%.4g", p.Caliber)
		}
		out.Write([]string{show.Cell(r.Session), show.Cell(p.ID), show.Cell(p.Position), show.Cell(p.Module), pin, show.Cell(p.Effect), caliber,
			string(p.State), string(p.Reason), show.Cell(p.By), show.Cell(p.Remark)})
	}
	out.Flush()
	return out.Error()
}
