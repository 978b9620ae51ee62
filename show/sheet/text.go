package sheet

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
)

// widest bounds, in characters, one text of a line: a note as long as a page
// must not push the next column out of sight.
const widest = 48

// WriteText writes the sheets for a terminal, one after the other.
func WriteText(w io.Writer, sheets []*Sheet) error {
	var b strings.Builder
	for i, s := range sheets {
		if i > 0 {
			b.WriteString("\n\f\n") // a printer begins a page here
		}
		s.writeText(&b)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (s *Sheet) writeText(b *strings.Builder) {
	fmt.Fprintf(b, "%s: position %s\n%s\n", s.Show, s.Position, s.Summary())
	for _, m := range s.Modules {
		fmt.Fprintf(b, "module %s, pins in use: %s\n", m.Name, m.Used())
	}
	if s.Witness != "" {
		fmt.Fprintf(b, "cue %s is the witness: seen with its tone all is well; if not, expect HOLD\n", s.Witness)
	}
	b.WriteByte('\n')
	w := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
	fmt.Fprint(w, "\tcue\tfire at\tmodule / pin\teffect\tcaliber\teffect at\tnote")
	if s.Calls != nil {
		fmt.Fprint(w, "\tcalls")
	}
	fmt.Fprintln(w)
	for _, c := range s.Cues {
		fmt.Fprintf(w, "[ ]\t%s\t%s\t%s\t%s\t%s\t%s\t%s", short(c.ID), at(c.Ignite), short(c.Place()), short(c.What), c.Size(), at(c.Effect), short(c.Note))
		if s.Calls != nil {
			fmt.Fprintf(w, "\t%s", strings.Join(c.Heard(s.Calls.Pips), "; "))
		}
		fmt.Fprintln(w)
	}
	w.Flush()
	fmt.Fprintf(b, "\n%s\n", FirstOfAll)
	for _, word := range s.Words() {
		fmt.Fprintf(b, "  %s: %s\n", word.Call, word.Means)
	}
}

func short(s string) string {
	if r := []rune(s); len(r) > widest {
		return string(r[:widest-1]) + "…"
	}
	return s
}
