package session

import (
	"fmt"
	"strings"
	"time"

	"drylane/show/crew"
	"drylane/show/timebase"
)

// crew says what happened in the crew.
func (d *Data) crew(rate int) string {
	who := d.who()
	after := func() string { return fmt.Sprintf("%.1f s", time.Duration(d.AfterNS).Seconds()) }
	switch d.Crew {
	case crew.HasJoined:
		if d.Place == "" {
			return who + " joined"
		}
		return who + " joined, at " + d.Place
	case crew.HasRenamed, crew.HasChanged:
		return who + " " + string(d.Crew) + ": was " + d.Was
	case crew.IsBack:
		return who + " is back after " + after()
	case crew.IsLost:
		return who + " is lost"
	case crew.HasAnswered:
		return who + " acknowledged the hold after " + after()
	case crew.HasSeen:
		return who + " saw cue " + d.Cue
	case crew.HasMissed:
		return who + ": cue " + d.Cue + " did not go"
	case crew.HasTapped:
		if d.At == nil {
			return who + " tapped"
		}
		return who + " tapped at " + timebase.ClockMillis(timebase.Frame(*d.At).At(rate))
	case crew.AsksDown:
		return who + " asks to stand their position down" + behind(d.Text)
	case crew.AsksNoMore:
		return who + " does not ask any more to stand their position down"
	case crew.WrongCode:
		return "a wrong code" + behind(d.Text)
	}
	return who + " " + string(d.Crew) + behind(d.Text)
}

// who is the member of the crew whom an entry is about, with their role; empty for none.
func (d *Data) who() string {
	if d.Role == "" {
		return d.Member
	}
	return d.Member + " (" + strings.TrimPrefix(d.Role, string(crew.Position)+":") + ")"
}

// behind is a text behind a colon, or nothing.
func behind(text string) string {
	if text == "" {
		return ""
	}
	return ": " + text
}
