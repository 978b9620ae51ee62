package field

import (
	"fmt"
	"math"
	"strings"

	"drylane/show"
)

// Rules of thumb.
const (
	mmPerInch = 25.4
	// separationPerInch is 70 ft for each inch of mortar diameter, for
	// spectators and vertical mortars: NFPA 1123, seen second hand.
	separationPerInch = 70 * 0.3048 // m
	// breakPerMM is a break height of 100 ft for each inch: hobby pages on
	// displays, which agree on it.
	breakPerMM = 100 * 0.3048 / 25.4
)

// Decides ends every sentence about distances.
const Decides = "a rule of thumb and no permission: the authority having jurisdiction and the licensed operator in charge decide"

// Inches is a caliber in millimetres as the size in inches that the rule of thumb
// goes by. Sizes in millimetres are nominal, and 75 mm stand for 3 in though
// they are a little less: a size counts as the next whole inch. Half a
// millimetre over one is how a whole inch is rounded, as 102 mm for 4 in; the
// size itself counts then, as it is the larger.
func Inches(caliber float64) float64 {
	const rounded = 0.5 // mm
	return max(math.Ceil((caliber-rounded)/mmPerInch), caliber/mmPerInch)
}

// SeparationOf is the rule of thumb's distance in metres from a mortar of a
// caliber in millimetres to the nearest spectator, to a tenth of a metre as it is
// told, so that who measures what is told is never told off for it.
func SeparationOf(caliber float64) float64 {
	return math.Round(separationPerInch*Inches(caliber)*10) / 10
}

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
	// Decided is who let it be, and why; nil when show.toml has no decision on
	// the position.
	Decided *show.Decision
}

// Short reports whether people stand nearer than the rule of thumb says.
func (s Separation) Short() bool { return s.Metres < s.Rule }

// String is the position and its Words.
func (s Separation) String() string { return s.Position + ": " + s.Words() }

// Words are the caution. They never say that a distance is enough, nor round it up: the
// millionth only makes good for 60 m that came out as 59.999999.
func (s Separation) Words() string {
	end := ""
	switch {
	case s.Short() && s.Decided != nil:
		end = fmt.Sprintf(": TOO CLOSE; decided by %s: %s", show.Clean(s.Decided.By), show.Clean(s.Decided.Why))
	case s.Short():
		end = ": TOO CLOSE"
	}
	return fmt.Sprintf("%.1f m to the %s; 70 ft for each inch of its largest shell, %.4g mm counted as %.3g in (cue %s), are %.1f m%s",
		math.Floor(s.Metres*10+1e-6)/10, s.Audience, s.Caliber, Inches(s.Caliber), s.Cue, s.Rule, end)
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
			Decided: decisionOn(s, p.Name),
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

// TooClose names, in a few words, the positions that people are too close to by
// the rule of thumb, decided on or not; empty when there are none.
func TooClose(s *show.Show) string {
	var at []string
	for _, sep := range Separations(s) {
		if sep.Short() {
			at = append(at, sep.Position)
		}
	}
	switch {
	case len(at) == 0:
		return ""
	case len(at) > 2:
		return fmt.Sprintf("TOO CLOSE at %d positions", len(at))
	}
	return "TOO CLOSE at " + strings.Join(at, ", ")
}

// decisionOn is the decision on the separation of a position, nil when there is
// none.
func decisionOn(s *show.Show, position string) *show.Decision {
	for i, d := range s.Decided {
		if d.Finding == show.DecideSeparation && d.Position == position {
			return &s.Decided[i]
		}
	}
	return nil
}

// biggestShells maps each position to the first of its cues that fires a shell
// or a salute of its largest caliber.
func biggestShells(s *show.Show) map[string]show.Cue {
	biggest := map[string]show.Cue{}
	for _, c := range s.Cues {
		if !isShell(c) && c.Family != show.FamilySalute {
			continue
		}
		if c.Caliber > biggest[c.Position].Caliber {
			biggest[c.Position] = c
		}
	}
	return biggest
}
