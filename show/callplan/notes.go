package callplan

import (
	"fmt"

	"drylane/show/timebase"
	"drylane/show/words"
)

// Notes tell what could not be called in full, a sentence each, with the spacing
// that it would need. Ids are as the list has them.
func (p Plan) Notes() []string {
	var notes []string
	note := func(format string, args ...any) { notes = append(notes, fmt.Sprintf(format, args...)) }
	for _, s := range p {
		first := s.Shots[0]
		if n := len(s.Shots); n > 1 {
			cues := s.Cues()
			note("cues %s to %s follow one another within %.0f s: %d words under one warning", cues[0].ID, cues[len(cues)-1].ID, Room.Seconds(), n)
		}
		if s.Ahead == 0 {
			note("cue %s at %s: too early for a warning; %d of %d counts fit before it", first.Cues[0].ID, timebase.ClockMillis(first.At), first.Count, Counts)
		}
		for _, shot := range s.Shots {
			if shot.End() > shot.At {
				note("%s from cue %s on have one word: they are less than %.1f s apart, which a word of their own needs", words.Count(len(shot.Cues), "cue"), shot.Cues[0].ID, Near.Seconds())
			}
			if sight := shot.OnSight(); len(sight) > 0 {
				note("cue %s ignites %.3f s after the word for cue %s: it is fired on sight", sight[0].ID, (sight[0].At - shot.At).Seconds(), shot.Cues[0].ID)
			}
		}
	}
	return notes
}
