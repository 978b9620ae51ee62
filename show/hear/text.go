package hear

import (
	"fmt"
	"io"
	"text/tabwriter"
	"time"

	"drylane/show"
	"drylane/show/timebase"
)

// WriteText writes the verdicts and what they are made of for a person; with cues, every
// cue as well.
func (r Report) WriteText(w io.Writer, cues bool) error {
	for _, v := range r.Verdicts {
		fmt.Fprintln(w, show.Clean(v.Text))
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	table(t, "position", r.Positions)
	if len(r.Sizes) > 0 {
		table(t, "shells of", r.Sizes)
	}
	if len(r.Stretches) > 1 {
		table(t, "stretch", r.Stretches)
	}
	if cues {
		fmt.Fprint(t, "\ncue\tat\tposition\twas\tlate\n")
		for _, c := range r.Cues {
			fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\n", show.Clean(c.ID), timebase.ClockMillis(c.EffectAt), show.Clean(c.Position), c.State, c.lateWords())
		}
	}
	return t.Flush()
}

func table(w io.Writer, what string, groups []Group) {
	fmt.Fprintf(w, "\n%s\tlate by\tbetween\theard\n", what)
	for _, g := range groups {
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\n", show.Clean(g.Name), g.lateWords(), g.between(), g.heardWords()+g.apartWords())
	}
}

// lateWords is how late a group was, or that nothing tells.
func (e Estimate) lateWords() string {
	if !e.Told {
		return "cannot tell"
	}
	return signed(e.Late)
}

func (e Estimate) between() string {
	if !e.Told {
		return "-"
	}
	return signed(e.Low) + " and " + signed(e.High)
}

func (e Estimate) heardWords() string {
	if e.Cues == 0 {
		return "no bangs due"
	}
	return fmt.Sprintf("%d of %d", e.Heard, e.Cues)
}

func (g Group) apartWords() string {
	if g.Apart {
		return "  APART"
	}
	return ""
}

// signed writes a lateness with its sign: positive is late.
func signed(d time.Duration) string { return fmt.Sprintf("%+.2f s", d.Seconds()) }

func (c Cue) lateWords() string {
	if c.State != Heard {
		return "-"
	}
	return signed(c.Late)
}
