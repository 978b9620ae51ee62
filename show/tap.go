package show

import (
	"time"

	"drylane/show/timebase"
)

// TapReach is how far a tap may lie from an effect to be set against it.
const TapReach = 2 * time.Second

// NearestEffect returns the cue whose effect, as it is in force, lies nearest
// to the moment at which the shooter tapped, among the cues of group g (all
// of them if g is -1) that have not been stood down and were not seen while the
// music stood still. late is the effect less the tap:
// positive when the cue came late. ok is false when no effect is within
// TapReach.
func (t *Transport) NearestEffect(at timebase.Frame, g int) (cue int, late timebase.Frame, ok bool) {
	p := t.plan
	reach := timebase.FrameAt(TapReach, p.Rate)
	// Nudges, what they spread, and holds move an effect from its place in the list;
	// look as far around as the largest of them can have moved it.
	far := reach + timebase.FrameAt(p.NudgeLimit, p.Rate)
	far += t.stretch
	for _, h := range t.holds {
		far += min(h.length, p.MaxLife)
	}
	for k := p.EffectsFrom(at - far); k < len(p.Cues); k++ {
		i := p.ByEffect(k)
		if p.Cues[i].Effect > at+far {
			break
		}
		if t.Down(i) || t.SeenInHold(i) || g >= 0 && !p.In(i, g) {
			continue
		}
		if d := t.EffectAt(i) - at; abs(d) <= reach && (!ok || abs(d) < abs(late)) {
			cue, late, ok = i, d, true
		}
	}
	return cue, late, ok
}

func abs(f timebase.Frame) timebase.Frame {
	if f < 0 {
		return -f
	}
	return f
}
