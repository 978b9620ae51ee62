package hear

import (
	"time"

	"drylane/show/drift"
)

// A Change is what would put cues on the music that were told to be off it: seconds by
// which they are to come earlier, negative later.
type Change struct {
	Position string  `json:"position,omitempty"` // only its cues; all of them without
	Earlier  float64 `json:"earlier_s"`
	// PPM takes out what grows, as drylane retime has it.
	PPM float64 `json:"rate_ppm,omitempty"`
}

// grain is what a change is rounded to: a fire tells no more.
const grain = 10 * time.Millisecond

// Changes are those that the report's facts ask for. A position that stands apart has
// its own, on top of the show's. What shells of a size are late by is none: their prefires
// are wrong, and not when their effect is wanted.
func (r Report) Changes() []Change {
	out := []Change{}
	var all time.Duration
	if r.Show.Told && !r.NoSpeaker {
		c := Change{}
		if r.Show.Late.Abs() > drift.NoticedLate {
			all = r.Show.Late.Round(grain)
		}
		if r.Rate.Grows {
			// The figure is that of the middle of the show, a growth counts from its start.
			all = r.Show.Late - time.Duration(r.Rate.Slope*float64(r.middle))
			c.PPM = r.Rate.Slope * 1e6
		}
		if c.Earlier = all.Round(time.Millisecond).Seconds(); c.Earlier != 0 || c.PPM != 0 {
			out = append(out, c)
		}
	}
	for _, p := range r.Positions {
		if !p.Apart {
			continue
		}
		own := p.Late
		if r.NoSpeaker || all != 0 {
			own -= r.Show.Late
		}
		out = append(out, Change{Position: p.Name, Earlier: own.Round(grain).Seconds()})
	}
	return out
}
