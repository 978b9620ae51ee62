package exchange

import (
	"fmt"

	"drylane/show"
)

// Uncarried lists what a show says that neither a cue list nor markers can
// carry: everything in show.toml that does not belong to a single cue.
func Uncarried(s *show.Show) []string {
	var list []string
	add := func(n int, format string, args ...any) {
		if n > 0 {
			list = append(list, fmt.Sprintf(format, args...))
		}
	}
	placed, pinned := 0, 0
	for _, p := range s.Positions {
		if p.Distance != 0 || p.Bearing != 0 || p.HandFired {
			placed++
		}
	}
	for _, m := range s.Modules {
		if m.Pins != 0 || m.MinGap != 0 {
			pinned++
		}
	}
	if s.Title != "" {
		list = append(list, "the title")
	}
	add(placed, "distance, bearing and hand firing of %d positions", placed)
	add(pinned, "pins and shortest gap of %d modules", pinned)
	if s.Witness != nil {
		list = append(list, "the witness")
	}
	if len(s.Console.Checklist) > 0 {
		list = append(list, "the hold checklist")
	}
	add(len(s.Speakers), "%d speakers", len(s.Speakers))
	add(len(s.Audiences), "%d further audiences", len(s.Audiences))
	add(len(s.Decided), "%d decisions on separation", len(s.Decided))
	if s.Radio != nil {
		list = append(list, "the radio link")
	}
	if s.Battery != nil {
		list = append(list, "the battery")
	}
	add(len(s.Tracks), "%d companion tracks", len(s.Tracks))
	add(len(s.Players), "%d players", len(s.Players))
	return append(list, "the air and the settings of the console")
}
