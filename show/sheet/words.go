package sheet

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/timebase"
	"drylane/show/words"
)

// A Word is something that the crew hears, and what it does then.
type Word struct{ Call, Means string }

// FirstOfAll stands above the words on every sheet.
const FirstOfAll = "The words of the operator in charge come first: those below are common practice and apply only if he or she says so."

// Words are what a crew hears in a show (common practice, no source).
func (s *Sheet) Words() []Word {
	var words []Word
	if s.Calls != nil {
		words = s.callWords()
	}
	hold := "HOLD"
	if s.Calls != nil && !s.Calls.Pips {
		hold += ` or "` + s.Calls.words.Say(show.SayStop) + `"`
	}
	place := strings.ToUpper(s.Position)
	return append(words,
		Word{hold, "music and cues stop together: fire nothing, stay where you are, keep others away. Held is not safe to enter"},
		Word{"RESUME", "the show goes on from where it stopped; nothing is fired twice"},
		Word{"STAND DOWN " + place, "this position is out: its cues are skipped and stay loaded, until BRING BACK " + place},
		Word{"CUT", "the show is stopped: fire nothing more. Nobody approaches, to make safe either, until the operator in charge sends them"},
		Word{"a misfire", "leave it, say its cue, and wait for the operator in charge: nobody goes near"},
	)
}

// callWords say what to do on each call.
func (s *Sheet) callWords() []Word {
	say := s.Calls.words.Say
	count := strings.Join([]string{say(show.SayThree), say(show.SayTwo), say(show.SayOne), say(show.SayFire)}, ", ")
	warn, fire := cmp.Or(s.Calls.Example, say(show.SayStandBy, "cues", "...")), count
	onWord := fmt.Sprintf("fire on the word \"%s\"; without it do not.", say(show.SayFire))
	if s.Calls.Pips {
		warn, fire = "low, low", "high, high, high, LONG HIGH"
		onWord = "pips a second apart: fire as the long one begins; without it do not."
	}
	onWord += " What is marked \"together\" goes with it, and what is \"on sight\" as the cue before it is seen"
	list := []Word{
		{s.quoted(warn), "get ready for the cues of this sheet that it stands at; fire nothing yet"},
		{s.quoted(fire), onWord},
	}
	if s.Calls.Track != "" && !s.Calls.Pips {
		list = append(list, Word{"pips instead", "the track was made without a voice: low, low to get ready; high, high, high, LONG HIGH for the count and the word"})
	}
	if !s.Calls.Pips {
		list = append(list, Word{`"` + say(show.SayAllClear) + `"`, "said by the operator in charge alone: until then the show is not over"})
	}
	if s.Calls.Shared {
		list = append(list, Word{"other cues", "the calls are for every hand-fired position: do nothing on a call for a cue that is not on this sheet"})
	}
	return list
}

func (s *Sheet) quoted(text string) string {
	if s.Calls.Pips {
		return text
	}
	return `"` + text + `"`
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

// Size writes the caliber; empty when none is given.
func (c Line) Size() string {
	if c.Caliber == 0 {
		return ""
	}
	return fmt.Sprintf("%.4g mm", c.Caliber)
}

// Aside is what stands small beside an effect: its note, and where calls take
// the room of columns its caliber too, and when it is seen if that is later than
// it is fired.
func (c Line) Aside(calls *Calls) string {
	var parts []string
	if calls != nil && c.Caliber > 0 {
		parts = append(parts, c.Size())
	}
	if calls != nil && c.Effect != c.Ignite {
		parts = append(parts, "seen "+brief(c.Effect))
	}
	if c.Note != "" {
		parts = append(parts, c.Note)
	}
	return strings.Join(parts, ", ")
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
		parts = append(parts, "FIRED BY HAND")
	}
	if s.Calls != nil {
		parts = append(parts, s.Calls.String())
	}
	return strings.Join(parts, ", ")
}

// String says where calls come from.
func (c Calls) String() string {
	kind := "spoken calls"
	if c.Pips {
		kind = "pips"
	}
	if c.Track == "" {
		return "on calls that a person reads from this sheet"
	}
	return fmt.Sprintf("on %s, track %s", kind, c.Track)
}

func at(d time.Duration) string { return timebase.ClockMillis(d) }
