package hear

import (
	"math"
	"slices"

	"drylane/show/words"
)

const (
	// onMoment is how far from its moment, in seconds, a bang may be to be that of a
	// rehearsal: those are on the frame, and found to some milliseconds. What is fired
	// scatters more.
	onMoment = 0.015
	// rehearsedPart is the part of the bangs that a rehearsal has on the list's moments, at
	// least, rehearsedFewest how many those are, and clearerBy how many times as many as
	// come when sound that was on its way would.
	rehearsedPart   = 0.7
	rehearsedFewest = 8
	clearerBy       = 1.5
)

// rehearsed reports whether the bangs are drylane's own, of a rehearsal, and how many: those
// have no way through the air, and come with the music by the list alone. Where all ways are
// of one length it cannot be told from a list that is early by as much.
func (h *hearing) rehearsed() (on int, ok bool) {
	on = h.onMoments(func(d due) float64 { return d.listed })
	if on < rehearsedFewest || float64(on) < rehearsedPart*float64(len(h.bangs)) {
		return on, false
	}
	return on, float64(on) >= clearerBy*float64(h.onMoments(func(d due) float64 { return d.at }))
}

// onMoments is how many bangs come at the moment of a cue, all late by the one shift with
// which the most do.
func (h *hearing) onMoments(moment func(due) float64) int {
	half := int(reach / step)
	total, own := make([]int, 2*half+1), make([]bool, 2*half+1)
	for _, b := range h.bangs {
		clear(own)
		for _, d := range h.due {
			late := b.at - moment(d)
			if d.recording != b.recording || math.Abs(late) > reach {
				continue
			}
			from, to := int(math.Ceil((late-onMoment)/step))+half, int(math.Floor((late+onMoment)/step))+half
			for g := max(0, from); g <= min(len(own)-1, to); g++ {
				own[g] = true
			}
		}
		for g, there := range own {
			if there {
				total[g]++
			}
		}
	}
	return slices.Max(total)
}

// ofRehearsal takes back what a fire's bangs would tell.
func (rep *Report) ofRehearsal(on int) {
	rep.Show.Told = false
	untold(rep)
	for i := range rep.Cues {
		if c := &rep.Cues[i]; c.State == Heard {
			c.State, c.Late, c.Off = NotKnown, 0, false
		}
	}
	rep.Unlisted = nil
	rep.Verdicts = []Verdict{{Code: OfRehearsal, Text: "cannot tell how late a fire was: this is the sound of a rehearsal, " +
		words.Count(on, "bang") + " on the list as if there were no way through the air"}}
}
