package deck

import (
	"time"

	"drylane/show"
	"drylane/show/drift"
)

// eras splits taps where the nudge changes.
func eras(taps []Tap) []drift.Era[Tap] {
	return drift.Eras(taps, func(t Tap) time.Duration { return t.Nudge })
}

// CuesInForce returns every cue that is not stood down, with its effect as it
// is in force.
func CuesInForce(t *show.Transport, cues []show.Cue) []drift.Effect {
	p := t.Plan()
	out := make([]drift.Effect, 0, len(p.Cues))
	for i := range p.Cues {
		if !t.Down(i) && !t.SeenInHold(i) {
			out = append(out, drift.Effect{At: t.EffectAt(i).At(p.Rate), Lane: cues[p.Cues[i].List].Position})
		}
	}
	return out
}
