package hear

import "slices"

const (
	// alone is how far from any cue, its lift and its shots a bang must be to be called
	// one that nobody listed; quiet is how long nothing as loud may have been before it,
	// which might come back from a wall.
	alone = 1.0
	quiet = 2.5
	// clearRise is the least rise that nobody's hands make.
	clearRise = 1.6
)

// unlisted are the bangs for which there is no cue: those that stand out as the better half
// of the cues do, and may be no echo.
func (h *hearing) unlisted(rep *Report) {
	var rises []float64
	for _, b := range h.bangs {
		if b.load > 2*b.base {
			rises = append(rises, b.rise)
		}
	}
	if len(rises) < 2*fewest {
		return
	}
	slices.Sort(rises)
	least := max(rises[len(rises)/2], clearRise)
	for i, b := range h.bangs {
		if b.rise < least || !h.recordings[b.recording].runs(b.at) || !h.standsAlone(i) {
			continue
		}
		r := h.recordings[b.recording]
		rep.Unlisted = append(rep.Unlisted, Unlisted{Recording: b.recording, At: seconds(b.at), Music: r.music(b.at)})
	}
}

// standsAlone reports whether nothing explains a bang: no cue, and no bang before it.
func (h *hearing) standsAlone(i int) bool {
	b := h.bangs[i]
	for k := i - 1; k >= 0 && h.near(k, i, quiet); k-- {
		if h.bangs[k].rise > 0.6*b.rise {
			return false
		}
	}
	for k, c := range h.show.Cues {
		r := h.recordings[b.recording]
		lit, ok := r.heard(c)
		if !ok {
			continue
		}
		from, to := lit, lit+c.Prefire.Seconds()+c.Burn.Seconds()
		if c.Prefire > 0 {
			from += c.Prefire.Seconds()
			if d := b.at - lit; d > -alone && d < alone+0.5 {
				return false // its lift
			}
		}
		if late := h.lateOf(k); b.at > from+late-alone && b.at < to+late+alone+1 {
			return false
		}
	}
	return true
}

// lateOf is how late the model has a cue of the show, heard or not.
func (h *hearing) lateOf(cue int) float64 {
	return h.late(due{cue: cue, effect: h.show.Cues[cue].EffectAt.Seconds()})
}

// runs reports whether the music runs at a second of the recording, and has for a while:
// what was lit before a hold breaks in it.
func (r Recording) runs(at float64) bool {
	const settled = 10.0
	for _, p := range r.Pieces {
		if at > p.At.Seconds()+settled && at < p.Heard(p.To).Seconds() {
			return true
		}
	}
	return false
}
