package field

import (
	"encoding/json"
	"time"

	"drylane/show"
)

// MarshalJSON writes the field in metres and milliseconds.
func (f *Field) MarshalJSON() ([]byte, error) {
	type path struct {
		Position string  `json:"position"`
		Metres   float64 `json:"metres"`
		Bang     float64 `json:"report_ms"`
		High     float64 `json:"report_from_break_ms"`
		Ground   float64 `json:"report_after_music_ms"` // from the ground
		Heard    bool    `json:"heard"`
		First    float64 `json:"first_report_after_music_ms"`
		Last     float64 `json:"last_report_after_music_ms"`
	}
	type audience struct {
		Name    string  `json:"name"`
		X       float64 `json:"x_m"`
		Y       float64 `json:"y_m"`
		Speaker string  `json:"speaker"`
		Music   float64 `json:"music_after_light_ms"`
		Grade   string  `json:"grade"`
		Left    float64 `json:"music_after_light_shifted_ms"`
		Shifted string  `json:"grade_shifted"`
		Paths   []path  `json:"positions"`
	}
	type separation struct {
		Position string  `json:"position"`
		Audience string  `json:"audience"`
		Caliber  float64 `json:"caliber_mm"`
		Metres   float64 `json:"metres"`
		Rule     float64 `json:"rule_of_thumb_m"`
		Short    bool    `json:"short"`
		By       string  `json:"decided_by,omitempty"`
		Why      string  `json:"decided_why,omitempty"`
	}
	out := struct {
		Title       string       `json:"title"`
		Basis       string       `json:"basis"`
		Celsius     float64      `json:"temperature_c"`
		Speed       float64      `json:"speed_of_sound_m_s"`
		Notes       []string     `json:"notes"`
		Audiences   []audience   `json:"audiences"`
		Seen        float64      `json:"cues_later_by_eye_ms"`
		Nudge       float64      `json:"nudge_earlier_ms"`
		Over        float64      `json:"music_after_light_nudged_ms"`
		Heard       float64      `json:"cues_earlier_by_ear_ms"`
		Spread      float64      `json:"by_ear_within_ms"`
		ByEar       string       `json:"by_ear_for"`
		Separations []separation `json:"separations"`
		Gaps        []string     `json:"not_assessed"`
		Care        string       `json:"care"`
	}{
		Title: f.Title, Basis: f.Basis(), Celsius: f.Celsius, Speed: f.Speed, Notes: f.Notes(),
		Seen: millis(f.Shift.Seen), Nudge: millis(f.Shift.Nudge), Over: millis(f.Shift.Over),
		Heard: millis(f.Shift.Heard), Spread: millis(f.Shift.Spread), Care: Care,
		ByEar: f.Shift.Ear.Words(),
	}
	for _, a := range f.Audiences {
		o := audience{
			Name: a.Name, X: a.X, Y: a.Y, Speaker: a.Speaker, Music: millis(a.Music), Grade: Graded(a.Music).String(),
			Left: millis(a.Left), Shifted: Graded(a.Left).String(),
		}
		for _, p := range a.Paths {
			o.Paths = append(o.Paths, path{p.Position, p.Metres, millis(p.Bang), millis(p.High), millis(p.Bang - a.Music), p.Heard, millis(p.First), millis(p.Last)})
		}
		out.Audiences = append(out.Audiences, o)
	}
	for _, s := range f.Separations {
		o := separation{Position: s.Position, Audience: s.Audience, Caliber: s.Caliber, Metres: s.Metres, Rule: s.Rule, Short: s.Short()}
		if s.Decided != nil {
			o.By, o.Why = show.Clean(s.Decided.By), show.Clean(s.Decided.Why)
		}
		out.Separations = append(out.Separations, o)
	}
	for _, g := range f.Gaps {
		out.Gaps = append(out.Gaps, g.String())
	}
	return json.Marshal(out)
}

func millis(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }
