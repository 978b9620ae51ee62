package hear

import (
	"cmp"
	"slices"

	"drylane/show/drift"
)

// assign gives each cue the bang that is likeliest its, if one is likelier its than
// nothing's. One bang may be that of several: what breaks at once is heard as one.
func (h *hearing) assign(rep *Report) {
	rep.Cues = make([]Cue, len(h.show.Cues))
	for i, c := range h.show.Cues {
		rep.Cues[i] = Cue{Cue: c, State: h.states[i]}
	}
	for _, d := range h.due {
		c := &rep.Cues[d.cue]
		c.Recording, c.Due = d.recording, seconds(d.at)
		at := d.at + h.late(d)
		best, most := -1, 0.0
		from, to := h.about(d.recording, at, wide*d.sd)
		for i := from; i < to; i++ {
			b := h.bangs[i]
			if v := d.bell(b.at - at); v > b.base && v > most {
				best, most = i, v
			}
		}
		if best < 0 {
			continue
		}
		c.State, c.Late = Heard, seconds(h.bangs[best].at-d.at)
		c.Off = drift.Noticed(c.Late)
		h.states[d.cue] = Heard
	}
	slices.SortStableFunc(rep.Cues, func(a, b Cue) int { return cmp.Compare(a.EffectAt, b.EffectAt) })
}
