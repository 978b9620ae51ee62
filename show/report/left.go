package report

import (
	"fmt"
	"slices"
	"time"

	"drylane/show"
	"drylane/show/words"
)

// LeftWords says what the resume left open; empty when it left nothing.
func (h Hold) LeftWords() string {
	if left := h.Left.Words(); left != "" {
		return "resumed with " + show.Clean(left)
	}
	return ""
}

// CallsOff says, a sentence for each position and nudge, which cues fired with the
// calls of a companion track off: a track follows no nudge.
func (r *Run) CallsOff() []string {
	var list []string
	for _, position := range r.Header.Called {
		var nudges []time.Duration
		cues := map[time.Duration][]string{}
		for _, c := range r.Cues {
			if c.Position != position || c.Ending != Fired || c.Nudge == 0 {
				continue
			}
			if !slices.Contains(nudges, c.Nudge) {
				nudges = append(nudges, c.Nudge)
			}
			cues[c.Nudge] = append(cues[c.Nudge], c.ID)
		}
		for _, n := range nudges {
			list = append(list, show.Clean(fmt.Sprintf("calls were %.1f s %s at %s for %s, from cue %s on: the track follows no nudge",
				n.Abs().Seconds(), words.Side(n), position, words.Count(len(cues[n]), "cue"), cues[n][0])))
		}
	}
	return list
}

// leftOut counts the cues that a re-entry left out: they are still loaded.
func (r *Run) leftOut() int {
	n := 0
	for _, c := range r.Cues {
		if c.LeftOut {
			n++
		}
	}
	return n
}
