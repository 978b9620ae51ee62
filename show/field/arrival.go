package field

import (
	"math"
	"time"

	"drylane/show"
)

// From says where a cue is heard from.
type From uint8

// What a cue may be heard from.
const (
	FromNowhere From = iota // it is silent: fountains, flames and comets
	FromUnknown             // a shell of no caliber, or what cannot be classed
	FromGround              // mines, cakes, candles, single shots, ground salutes
	FromBreak               // shells and aerial salutes
)

// HeardFrom returns where a cue is heard from. What makes a bang is common practice,
// no source.
func HeardFrom(c show.Cue) From {
	aerial := isShell(c) || c.Family == show.FamilySalute && !isGroundSalute(c)
	switch class := className(c); {
	case class == show.FamilyFountain.String(), class == show.FamilyFlame.String(), class == show.FamilyComet.String():
		return FromNowhere
	case class == notClassed, aerial && c.Caliber == 0:
		return FromUnknown
	case aerial:
		return FromBreak
	}
	return FromGround
}

// height is how high above the ground, in metres, a cue is heard from.
func (f From) height(c show.Cue) float64 {
	if f == FromBreak {
		return BreakHeight(c.Caliber)
	}
	return 0
}

// How far what is told of a field may be out, as standard deviations: distances paced
// out and a microphone held somewhere among the audience, in metres; the height of
// breaks and the speed of sound, in parts. From memory.
const (
	outDistance = 4.0
	outHeight   = 0.08
	outSpeed    = 0.008
)

// An Arrival is how the sound of a cue comes to a place.
type Arrival struct {
	From From
	// After is how much later the sound of the effect comes than what the music played
	// as it was made; Lift is the same of what leaves the ground. They are 0 where
	// Known is false: the position's distance is unknown, or what the cue is heard from.
	After, Lift time.Duration
	Known       bool
	// Out is the standard deviation of After for all that is uncertain of the field.
	Out time.Duration
}

// Arrival returns how a cue of the show that the field was made of is heard at the
// audience of a number. Where show.toml names no loudspeaker, the music is taken to be
// heard as it is played.
func (f *Field) Arrival(c show.Cue, audience int) Arrival {
	a := f.Audiences[audience]
	out := Arrival{From: HeardFrom(c)}
	if out.From != FromBreak && out.From != FromGround {
		return out
	}
	name := show.Clean(c.Position)
	for _, p := range a.Paths {
		if p.Position != name {
			continue
		}
		h := out.From.height(c)
		s := slant(p.Metres, h)
		out.Known = true
		out.After, out.Lift = Travel(s, f.Celsius)-a.Music, p.Bang-a.Music
		off := math.Hypot(outDistance*p.Metres/max(s, 1), outHeight*h*h/max(s, 1)) / f.Speed
		out.Out = seconds(math.Hypot(off, outSpeed*out.After.Seconds()))
	}
	return out
}
