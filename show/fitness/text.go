package fitness

import (
	"io"
	"slices"
	"strings"

	"drylane/show"
	"drylane/show/words"
)

// WriteText prints the verdict as a page of plain words, what is wrong first, in lines
// of at most width columns.
func (v Verdict) WriteText(w io.Writer, width int) error {
	text := v.Words + "\n"
	for _, g := range []struct {
		Grade
		title string
	}{{Unfit, "Not fit"}, {Limit, "Limits"}, {Good, "Good"}, {Untried, "Not tried, or cannot tell"}} {
		of := slices.DeleteFunc(slices.Clone(v.Findings), func(f Finding) bool { return f.Grade != g.Grade })
		if len(of) == 0 {
			continue
		}
		text += "\n" + g.title + "\n"
		last := Part("")
		for _, f := range of {
			text += f.lines(width, f.Part == last)
			last = f.Part
		}
	}
	_, err := io.WriteString(w, text)
	return err
}

// lines are a finding as the page has it; the part is named where it is another than
// that of the finding before.
func (f Finding) lines(width int, again bool) string {
	name := string(f.Part)
	if again {
		name = ""
	}
	lead := "  " + name + strings.Repeat(" ", max(1, 11-len(name)))
	out := words.Hang(lead, show.Clean(f.Text), width)
	if f.Do != "" {
		out += words.Hang(strings.Repeat(" ", len(lead))+"-> ", f.Do, width)
	}
	return out
}
