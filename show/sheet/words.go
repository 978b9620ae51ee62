package sheet

import (
	"fmt"
	"strings"
	"time"

	"drylane/show/timebase"
	"drylane/show/words"
)

// A Word is something that the crew hears, and what it does then.
type Word struct{ Call, Means string }

// FirstOfAll stands above the words on every sheet.
const FirstOfAll = "The words of the operator in charge come first: those below are common practice and hold only if he or she says so."

// Words are what a crew hears in a show (common practice, no source).
func (s *Sheet) Words() []Word {
	words := []Word{}
	if s.HandFired {
		words = append(words,
			Word{"STAND BY 14", "get ready to fire number 14 of this sheet; fire nothing yet"},
			Word{"THREE, TWO, ONE, FIRE", "fire it on FIRE; without that word do not"},
		)
	}
	return append(words,
		Word{"HOLD", "music and cues stop together: fire nothing, stay where you are, keep others away"},
		Word{"RESUME", "the show goes on from where it stopped; nothing is fired twice"},
		Word{fmt.Sprintf("STAND DOWN %s", strings.ToUpper(s.Position)), "this position is out: its cues are skipped, and stay loaded, until it is brought back"},
		Word{"CUT", "the show is over: fire nothing more, make safe, and stay away until the operator in charge calls you"},
		Word{"a misfire", "leave it, say its number, and wait for the operator in charge: nobody goes near"},
	)
}

// Place says where a cue is wired, or that it is fired by hand.
func (c Line) Place() string {
	switch {
	case c.Module != "" && c.Pin != 0:
		return fmt.Sprintf("%s / %d", c.Module, c.Pin)
	case c.Module != "":
		return c.Module
	}
	return "by hand"
}

// Calls say what a hand-fired position hears for a cue.
func (c Line) Calls() string {
	if c.Together {
		return "with the one above"
	}
	if c.Ignite-c.StandBy < 3*time.Second {
		return fmt.Sprintf("FIRE at %s, no time for a count", at(c.Ignite))
	}
	return fmt.Sprintf("STAND BY at %s, FIRE at %s", at(c.StandBy), at(c.Ignite))
}

// Size writes the caliber; empty when none is given.
func (c Line) Size() string {
	if c.Caliber == 0 {
		return ""
	}
	return fmt.Sprintf("%.4g mm", c.Caliber)
}

// Used lists the pins in use as ranges: 1-4, 7.
func (m Module) Used() string {
	if len(m.Pins) == 0 {
		return "no pins given"
	}
	var parts []string
	for i := 0; i < len(m.Pins); {
		j := i
		for j+1 < len(m.Pins) && m.Pins[j+1] == m.Pins[j]+1 {
			j++
		}
		if i == j {
			parts = append(parts, fmt.Sprint(m.Pins[i]))
		} else {
			parts = append(parts, fmt.Sprintf("%d-%d", m.Pins[i], m.Pins[j]))
		}
		i = j + 1
	}
	return strings.Join(parts, ", ")
}

// Summary says in a line what the position has.
func (s *Sheet) Summary() string {
	parts := []string{words.Count(len(s.Cues), "cue")}
	if len(s.Cues) > 0 {
		parts = append(parts, fmt.Sprintf("fired from %s to %s", at(s.Cues[0].Ignite), at(s.Cues[len(s.Cues)-1].Ignite)))
	}
	if s.Largest > 0 {
		parts = append(parts, fmt.Sprintf("largest %.4g mm", s.Largest))
	}
	if s.Distance > 0 {
		parts = append(parts, fmt.Sprintf("%.4g m to the main audience", s.Distance))
	}
	if s.HandFired {
		parts = append(parts, "FIRED BY HAND, on spoken calls")
	}
	return strings.Join(parts, ", ")
}

func at(d time.Duration) string { return timebase.ClockMillis(d) }
