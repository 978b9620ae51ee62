package sheet

import (
	"fmt"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/callplan"
)

// call writes to each cue what is called for it. A warning stands at the first
// cue of its series that is on this sheet, a count at the first of its group.
func (s *Sheet) call(post callplan.Post, words show.CallWords) {
	s.Calls = &Calls{Pips: post.Pips, Track: show.Clean(post.Track), Shared: post.Shared, words: words}
	lines := map[string]*Line{}
	for i := range s.Cues {
		lines[s.Cues[i].ID] = &s.Cues[i]
	}
	for _, series := range post.Plan {
		var warning []Said
		if p, ok := series.Warn(); ok {
			warning = []Said{s.said(p)}
		}
		for _, shot := range series.Shots {
			said := []Said{s.said(series.Calls(shot)...)}
			for i, cue := range shot.Cues {
				line := lines[show.Clean(cue.ID)]
				if line == nil {
					continue // on another sheet
				}
				line.Said = append(warning, said...)
				line.With = with(shot, i)
				warning, said = nil, nil
			}
		}
	}
}

// said joins phrases that follow one another.
func (s *Sheet) said(phrases ...callplan.Phrase) Said {
	texts := make([]string, len(phrases))
	for i, p := range phrases {
		texts[i] = p.Text
		if s.Calls.Pips {
			texts[i] = p.Pips()
		}
	}
	text := strings.Join(texts, ", ")
	if !s.Calls.Pips && s.Calls.Example == "" && phrases[0].Kind == callplan.Warning {
		s.Calls.Example = text
	}
	return Said{phrases[0].At, text}
}

// with says how the cue of an index in its group is fired.
func with(shot callplan.Shot, i int) string {
	cue := shot.Cues[i]
	switch {
	case i == 0:
		return ""
	case i < len(shot.OnWord()):
		return "together with cue " + show.Clean(shot.Cues[0].ID)
	}
	before := shot.Cues[i-1]
	return fmt.Sprintf("on sight of cue %s, %.4g s after it", show.Clean(before.ID), (cue.At - before.At).Seconds())
}

// Heard is what a position hears for a cue, in words, part by part.
func (c Line) Heard(pips bool) []string {
	var parts []string
	for _, s := range c.Said {
		text := `"` + s.Text + `"`
		if pips {
			text = s.Text
		}
		parts = append(parts, brief(s.At)+" "+text)
	}
	if c.With != "" {
		parts = append(parts, c.With)
	}
	return parts
}

// brief writes a time to the millisecond, without the noughts at its end.
func brief(d time.Duration) string { return strings.TrimSuffix(strings.TrimRight(at(d), "0"), ".") }
