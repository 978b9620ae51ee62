package hear

// The figures of a report, for programs: times in seconds, positive is late.
type (
	estimateFigures struct {
		Late  float64 `json:"late_s"`
		Low   float64 `json:"low_s"`
		High  float64 `json:"high_s"`
		Due   int     `json:"due"`
		Heard int     `json:"heard"`
		Told  bool    `json:"told"`
	}
	groupFigures struct {
		Name string   `json:"name"`
		From *float64 `json:"from_s,omitempty"`
		To   *float64 `json:"to_s,omitempty"`
		estimateFigures
		Apart bool `json:"apart"`
	}
	cueFigures struct {
		ID       string   `json:"cue"`
		Position string   `json:"position"`
		At       float64  `json:"at_s"`
		State    CueState `json:"state"`
		Late     *float64 `json:"late_s,omitempty"`
	}
	unlistedFigures struct {
		Recording int     `json:"recording"`
		At        float64 `json:"at_s"`
		Music     float64 `json:"music_s"`
	}
	verdictFigures struct {
		Code     Code    `json:"code"`
		Text     string  `json:"text"`
		Late     float64 `json:"late_s,omitempty"`
		Position string  `json:"position,omitempty"`
		From     float64 `json:"from_s,omitempty"`
		To       float64 `json:"to_s,omitempty"`
	}
	// Figures are a report as JSON has it. ShowLate is null where nothing tells it.
	Figures struct {
		ShowLate  *float64          `json:"show_late_s"`
		Show      estimateFigures   `json:"show"`
		Verdict   string            `json:"verdict"`
		Verdicts  []verdictFigures  `json:"verdicts"`
		Grows     float64           `json:"grows_ms_a_minute,omitempty"`
		Positions []groupFigures    `json:"positions"`
		Sizes     []groupFigures    `json:"shells"`
		Stretches []groupFigures    `json:"stretches"`
		Cues      []cueFigures      `json:"cues"`
		Unlisted  []unlistedFigures `json:"unlisted"`
		Changes   []Change          `json:"changes"`
	}
)

func (e Estimate) figures() estimateFigures {
	return estimateFigures{e.Late.Seconds(), e.Low.Seconds(), e.High.Seconds(), e.Cues, e.Heard, e.Told}
}

func figuresOf(groups []Group) []groupFigures {
	out := []groupFigures{}
	for _, g := range groups {
		f := groupFigures{Name: g.Name, estimateFigures: g.figures(), Apart: g.Apart}
		if g.To > 0 {
			from, to := g.From.Seconds(), g.To.Seconds()
			f.From, f.To = &from, &to
		}
		out = append(out, f)
	}
	return out
}

// Figures returns the report's.
func (r Report) Figures() Figures {
	out := Figures{
		Show: r.Show.figures(), Grows: r.Rate.Slope * 60e3, Verdicts: []verdictFigures{}, Cues: []cueFigures{},
		Positions: figuresOf(r.Positions), Sizes: figuresOf(r.Sizes), Stretches: figuresOf(r.Stretches),
		Unlisted: []unlistedFigures{}, Changes: r.Changes(),
	}
	if r.Show.Told && !r.NoSpeaker {
		late := r.Show.Late.Seconds()
		out.ShowLate = &late
	}
	for _, v := range r.Verdicts {
		out.Verdicts = append(out.Verdicts, verdictFigures{v.Code, v.Text, v.Late.Seconds(), v.Position, v.From.Seconds(), v.To.Seconds()})
	}
	if len(r.Verdicts) > 0 {
		out.Verdict = r.Verdicts[0].Text
	}
	for _, c := range r.Cues {
		f := cueFigures{ID: c.ID, Position: c.Position, At: c.EffectAt.Seconds(), State: c.State}
		if c.State == Heard {
			late := c.Late.Seconds()
			f.Late = &late
		}
		out.Cues = append(out.Cues, f)
	}
	for _, u := range r.Unlisted {
		out.Unlisted = append(out.Unlisted, unlistedFigures{u.Recording, u.At.Seconds(), u.Music.Seconds()})
	}
	return out
}
