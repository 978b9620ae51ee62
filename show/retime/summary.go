package retime

import (
	"fmt"
	"io"
	"slices"
	"text/tabwriter"
	"time"

	"drylane/show/timebase"
	"drylane/show/words"
)

// WriteSummary prints how the cues of each position move: how many, and how far. Of unheard
// positions it says that they only move with the rest.
func (r *Result) WriteSummary(w io.Writer, unheard ...string) error {
	var positions []string
	moves := map[string][]time.Duration{}
	for _, c := range r.Changes {
		at := c.Cue.Position
		if moves[at] == nil {
			positions = append(positions, at)
		}
		moves[at] = append(moves[at], c.Earlier())
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, at := range positions {
		note := ""
		if slices.Contains(unheard, at) {
			note = "  (not heard; moved with the list)"
		}
		fmt.Fprintf(t, "  %s\t%s\t%s%s\n", at, words.Count(len(moves[at]), "cue"), span(moves[at]), note)
	}
	return t.Flush()
}

// span says how far several cues move.
func span(moves []time.Duration) string {
	least, most := words.Shift(slices.Min(moves)), words.Shift(slices.Max(moves))
	if least == most {
		return least
	}
	return least + " to " + most
}

// WriteList prints every cue that moves; file is the cue list's name.
func (r *Result) WriteList(w io.Writer, file string) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, c := range r.Changes {
		fmt.Fprintf(t, "%s:%d\tcue %s\t%s\t%s -> %s\t%s\n", file, c.Cue.Line, c.Cue.ID, c.Cue.Position,
			timebase.ClockMillis(c.Cue.EffectAt), timebase.ClockMillis(c.To), words.Shift(c.Earlier()))
	}
	return t.Flush()
}
