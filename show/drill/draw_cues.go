package drill

import (
	"cmp"
	"slices"
	"time"

	"drylane/show"
)

// Cues returns the show's cues, mended and with the plants in them, in firing
// order. What a plant makes of a cue goes by its moment in the mended list. The
// witness stays where it is: it is checked against the tone, before any of the
// music that the list could be held against. No ignition is moved to before the
// start of the music.
func (x *Exercise) Cues(s *show.Show) []show.Cue {
	cues := slices.Clone(s.Cues)
	for i := range cues {
		c := &cues[i]
		if s.Witness != nil && c.ID == s.Witness.Cue {
			continue
		}
		for _, m := range x.Drill.Mends {
			if m.Position == "" || m.Position == c.Position {
				c.EffectAt -= m.Late
			}
		}
		mended := c.EffectAt
		for _, p := range x.Plants {
			if p.Position == "" || p.Position == c.Position {
				c.EffectAt += p.lateAt(mended)
			}
		}
		c.EffectAt = max(c.EffectAt, c.Prefire)
	}
	slices.SortStableFunc(cues, func(a, b show.Cue) int {
		return cmp.Or(cmp.Compare(a.IgniteAt(), b.IgniteAt()), cmp.Compare(a.Line, b.Line))
	})
	return cues
}

// Wanted is the nudge that puts the list right for the effects that belong to
// the moment at of the music; positive = cues earlier. What is planted at one
// position alone wants none: a nudge would move all the others.
func (x *Exercise) Wanted(at time.Duration) time.Duration {
	var nudge time.Duration
	for _, p := range x.Plants {
		if p.Position == "" {
			nudge += p.lateAt(at)
		}
	}
	return nudge
}

// lateAt is how much later a settled plant makes what belongs to the moment
// at, in whole milliseconds, halves away from zero.
func (p Plant) lateAt(at time.Duration) time.Duration {
	var late time.Duration
	if len(p.Late) > 0 {
		late = p.Late[0]
	}
	if len(p.Grow) > 0 {
		// In milliseconds, a day times ten seconds a minute is far from
		// overflow.
		product := p.Grow[0].Milliseconds() * at.Milliseconds()
		late += (time.Duration(product) * time.Millisecond / 60_000).Round(time.Millisecond)
	}
	return late
}
