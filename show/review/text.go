package review

import (
	"fmt"
	"io"
	"text/tabwriter"

	"drylane/show"
	"drylane/show/timebase"
	"drylane/show/words"
)

// WriteText writes the verdicts and the positions for a person; with cues,
// every cue as well.
func (r Report) WriteText(w io.Writer, cues bool) error {
	for _, v := range r.Verdicts {
		fmt.Fprintln(w, show.Clean(v.Text))
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprint(t, "\nposition\tthe cues are\tmoments\ton an accent\tconfidence\n")
	for _, p := range r.Positions {
		fmt.Fprintf(t, "%s\t%s\t%d\t%d\t%s\n", show.Clean(p.Name), shiftWords(p.Fit), p.Moments, p.Met, confidenceWords(p.Fit))
	}
	if cues {
		fmt.Fprint(t, "\ncue\tat\tposition\tplace\toff\tstrength\tto the beat\n")
		for _, c := range r.Cues {
			fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\t%s\n", show.Clean(c.ID), timebase.ClockMillis(c.At), show.Clean(c.Position), c.Place, c.offWords(), c.strengthWords(), c.beatWords())
		}
	}
	return t.Flush()
}

// shiftWords is the shift of a fit made of enough.
func shiftWords(f Fit) string {
	if f.Moments < fewest {
		return "too few cues"
	}
	return words.Late(f.Shift)
}

func confidenceWords(f Fit) string {
	if f.Moments < fewest {
		return "-"
	}
	return fmt.Sprintf("%.0f %%", 100*f.Confidence)
}

func (c CueFit) offWords() string {
	if c.Place == NoAccent {
		return "-"
	}
	return words.LateMS(c.Off, "on it")
}

func (c CueFit) strengthWords() string {
	if c.Place == NoAccent {
		return "-"
	}
	return fmt.Sprintf("%.2f", c.Strength)
}

func (c CueFit) beatWords() string {
	if !c.HasBeat {
		return "-"
	}
	return words.LateMS(c.Beat, "on it")
}
