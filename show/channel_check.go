package show

import (
	"fmt"
	"path"
	"slices"
	"strings"
)

// checkTracks reads the channels of the companion tracks and holds them against
// the rest of the show.
func checkTracks(s *Show, t *Table, f *finder) {
	for i, track := range s.Tracks {
		item := itemPath("track", i)
		note := func(severity Severity, code, key, found, wanted string) {
			at := t.places[join(item, key)]
			f.add(Problem{
				Severity: severity, Code: code, File: showFile, Line: at.line, Column: at.column,
				Found: found + " as " + key, Wanted: wanted,
			})
		}
		if track.File != "" && (track.Left != "" || track.Right != "") && !strings.EqualFold(path.Ext(track.File), ".wav") {
			note(SeverityStop, CodeValue, "file", Quote(track.File), "a name that ends in .wav")
		}
		for _, side := range [...]struct{ key, text string }{{"left", track.Left}, {"right", track.Right}} {
			if side.text == "" {
				continue
			}
			c, err := parseChannel(side.text)
			if err != nil {
				note(SeverityStop, CodeValue, side.key, err.found, err.wanted)
				continue
			}
			c.check(s, func(severity Severity, code, found, wanted string) { note(severity, code, side.key, found, wanted) })
		}
	}
}

// check holds one channel against the show that it is made from.
func (c Channel) check(s *Show, note func(severity Severity, code, found, wanted string)) {
	switch {
	case c.Witness && s.Witness == nil:
		note(SeverityStop, CodeMissing, "the option witness in a show without one", "a table [witness] with at and cue")
	case c.Source != ChannelCalls && c.Source != ChannelPips:
	case c.Position == "":
		if !slices.ContainsFunc(s.Positions, func(p Position) bool { return p.HandFired }) {
			note(SeverityWarn, CodeMissing, c.Source+" in a show with no hand-fired position", "hand_fired = true at a position, or "+c.Source+" with its name")
		}
	default:
		i := slices.IndexFunc(s.Positions, func(p Position) bool { return p.Name == c.Position })
		if i < 0 {
			note(SeverityStop, CodeUnknown, "the position "+Quote(c.Position), positionsWanted(s)+DidYouMean(c.Position, positionNames(s)))
		} else if !s.Positions[i].HandFired {
			note(SeverityWarn, CodeValue, fmt.Sprintf("%s for %s, a position that is not hand-fired,", c.Source, Quote(c.Position)), "hand_fired = true there, or no "+c.Source)
		}
	}
}

func positionNames(s *Show) []string {
	names := make([]string, len(s.Positions))
	for i, p := range s.Positions {
		names[i] = p.Name
	}
	return names
}

func positionsWanted(s *Show) string {
	const most = 12
	names := positionNames(s)
	if len(names) == 0 {
		return "a position of the show, which has none"
	}
	for i := range names {
		names[i] = Shorten(names[i], quoteLimit)
	}
	if len(names) > most {
		return "one of the show's positions, such as " + strings.Join(names[:most], ", ")
	}
	return "one of " + strings.Join(names, ", ")
}
