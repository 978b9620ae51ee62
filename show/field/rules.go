package field

import (
	"fmt"
	"math"

	"drylane/show"
)

// Rules of thumb, in metres for each millimetre of caliber.
const (
	// separationPerMM is 70 ft for each inch of mortar diameter, for
	// spectators and vertical mortars: NFPA 1123, seen second hand.
	separationPerMM = 70 * 0.3048 / 25.4
	// breakPerMM is a break height of 100 ft for each inch: hobby pages on
	// displays, which agree on it.
	breakPerMM = 100 * 0.3048 / 25.4
)

// Decides ends every sentence about distances.
const Decides = "a rule of thumb and no permission: the authority having jurisdiction and the licensed operator in charge decide"

// SeparationOf is the rule of thumb's distance in metres from a mortar of a
// caliber in millimetres to the nearest spectator.
func SeparationOf(caliber float64) float64 { return separationPerMM * caliber }

// BreakHeight is about how high, in metres, a shell of a caliber in
// millimetres breaks.
func BreakHeight(caliber float64) float64 { return breakPerMM * caliber }

// A Separation holds the largest shell of a position against the nearest place
// that people watch from.
type Separation struct {
	Position string
	Caliber  float64 // mm, of the largest shell
	Cue      string  // that fires it
	Audience string  // the nearest
	Metres   float64 // to it
	Rule     float64 // metres by the rule of thumb
}

// Short reports whether people stand nearer than the rule of thumb says.
func (s Separation) Short() bool { return s.Metres < s.Rule }

// String is the position and its Words.
func (s Separation) String() string { return s.Position + ": " + s.Words() }

// Words are the caution. They never say that a distance is enough.
func (s Separation) Words() string {
	under := ""
	if s.Short() {
		under = ": they stand UNDER it"
	}
	return fmt.Sprintf("%.0f m to the %s; 70 ft for each inch of its largest shell, %.4g mm (cue %s), are %.0f m%s",
		math.Floor(s.Metres), s.Audience, s.Caliber, s.Cue, math.Ceil(s.Rule), under)
}

// Separations are those of the positions with a known distance that fire
// shells, in the order of show.toml.
func Separations(s *show.Show) []Separation {
	biggest := biggestShells(s)
	var out []Separation
	for _, p := range s.Positions {
		c, ok := biggest[p.Name]
		if !ok || p.Distance == 0 {
			continue
		}
		sep := Separation{
			Position: show.Clean(p.Name), Caliber: c.Caliber, Cue: show.Clean(c.ID),
			Rule: SeparationOf(c.Caliber), Metres: math.Inf(1),
		}
		at := placeAt(p.Distance, p.Bearing)
		for _, a := range audiences(s) {
			if d := at.To(a.Place); d < sep.Metres {
				sep.Metres, sep.Audience = d, a.Name
			}
		}
		out = append(out, sep)
	}
	return out
}

// biggestShells maps each position to the first of its cues that fires a shell
// or a salute of its largest caliber.
func biggestShells(s *show.Show) map[string]show.Cue {
	biggest := map[string]show.Cue{}
	for _, c := range s.Cues {
		if c.Family != show.FamilyShell && c.Family != show.FamilySalute {
			continue
		}
		if c.Caliber > biggest[c.Position].Caliber {
			biggest[c.Position] = c
		}
	}
	return biggest
}
