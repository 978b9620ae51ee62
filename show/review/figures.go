package review

import "encoding/json"

// The figures of a report, for programs: times in seconds, positive is late.
type (
	fitFigures struct {
		Shift      float64 `json:"shift"`
		Moments    int     `json:"moments"`
		Met        int     `json:"met"`
		Confidence float64 `json:"confidence"`
		Ambiguous  bool    `json:"ambiguous"`
		Out        float64 `json:"out_of_place"` // the chance of it
		// Rivals are likeliest first.
		Rivals []rivalFigures `json:"rivals,omitempty"`
	}
	rivalFigures struct {
		Shift  float64 `json:"shift"`
		Chance float64 `json:"chance"`
		Better bool    `json:"better_by_the_music"`
	}
	positionFigures struct {
		Name string `json:"name"`
		fitFigures
		Apart bool `json:"apart"`
	}
	sectionFigures struct {
		From    float64 `json:"from"`
		To      float64 `json:"to"`
		Accents int     `json:"accents"`
		fitFigures
		Apart bool `json:"apart"`
		Few   bool `json:"too_few_accents"`
	}
	rateFigures struct {
		Grows     bool    `json:"grows"`
		From      float64 `json:"from"`
		PerMinute float64 `json:"per_minute"`
	}
	cueFigures struct {
		ID       string   `json:"cue"`
		Position string   `json:"position"`
		At       float64  `json:"at"`
		Place    Place    `json:"place"`
		Off      *float64 `json:"off,omitempty"`
		Strength float64  `json:"strength,omitempty"`
		Beat     *float64 `json:"beat,omitempty"`
	}
	verdictFigures struct {
		Code     Code    `json:"code"`
		Text     string  `json:"text"`
		Shift    float64 `json:"shift,omitempty"`
		Position string  `json:"position,omitempty"`
		From     float64 `json:"from,omitempty"`
		To       float64 `json:"to,omitempty"`
		First    string  `json:"first,omitempty"`
		Last     string  `json:"last,omitempty"`
	}
	reportFigures struct {
		Verdicts  []verdictFigures  `json:"verdicts"`
		Show      fitFigures        `json:"show"`
		Rate      rateFigures       `json:"rate"`
		Positions []positionFigures `json:"positions"`
		Sections  []sectionFigures  `json:"sections"`
		Cues      []cueFigures      `json:"cues"`
	}
)

func (f Fit) figures() fitFigures {
	out := fitFigures{f.Shift.Seconds(), f.Moments, f.Met, f.Confidence, f.Ambiguous, f.Out, nil}
	for _, v := range f.Rivals {
		out.Rivals = append(out.Rivals, rivalFigures{v.Shift.Seconds(), v.Chance, v.Better})
	}
	return out
}

// MarshalJSON writes the report with times in seconds.
func (r Report) MarshalJSON() ([]byte, error) {
	out := reportFigures{
		Show: r.Show.figures(), Rate: rateFigures{r.Rate.Grows, r.Rate.From.Seconds(), r.Rate.PerMinute().Seconds()},
		Positions: []positionFigures{}, Sections: []sectionFigures{}, Cues: []cueFigures{},
	}
	for _, v := range r.Verdicts {
		out.Verdicts = append(out.Verdicts, verdictFigures{v.Code, v.Text, v.Shift.Seconds(), v.Position, v.From.Seconds(), v.To.Seconds(), v.First, v.Last})
	}
	for _, p := range r.Positions {
		out.Positions = append(out.Positions, positionFigures{p.Name, p.figures(), p.Apart})
	}
	for _, s := range r.Sections {
		out.Sections = append(out.Sections, sectionFigures{s.From.Seconds(), s.To.Seconds(), s.Accents, s.figures(), s.Apart, s.Few})
	}
	for _, c := range r.Cues {
		f := cueFigures{ID: c.ID, Position: c.Position, At: c.At.Seconds(), Place: c.Place, Strength: c.Strength}
		if c.Place != NoAccent {
			off := c.Off.Seconds()
			f.Off = &off
		}
		if c.HasBeat {
			beat := c.Beat.Seconds()
			f.Beat = &beat
		}
		out.Cues = append(out.Cues, f)
	}
	return json.Marshal(out)
}
