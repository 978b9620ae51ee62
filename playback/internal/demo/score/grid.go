package score

import (
	"time"

	"drylane/show/timebase"
)

const (
	// WitnessAt is when the witness tone starts, WitnessFor how long it lasts.
	WitnessAt  = 5 * time.Second
	WitnessFor = 500 * time.Millisecond

	length = 135 // seconds
	steps  = 16  // in a bar
)

// A section is a stretch of bars at one tempo.
type section struct {
	name string
	bars int
	step time.Duration // a sixteenth
}

// The steps are whole hundredths of a second. A beat is four of them: 150 beats
// a minute, and 83 in the slow section.
//
// 0.3 s is an odd number of quick steps and no multiple of the slow ones, and
// outside the rolls and the chase nothing sounds on odd steps: a cue that is
// 0.3 s late falls between the notes.
const (
	quick = 100 * time.Millisecond
	slow  = 180 * time.Millisecond
)

var (
	intro  = section{"intro", 8, quick}
	theme  = section{"theme", 16, quick}
	build  = section{"build", 8, quick}
	chase  = section{"chase", 8, quick}
	middle = section{"slow", 8, slow}
	again  = section{"return", 8, quick}
	finale = section{"finale", 12, quick}
	coda   = section{"coda", 1, quick}
)

// musicFrom is when the first bar starts; before it stand a drone and the
// witness.
const musicFrom = 10 * time.Second

// form is the order of the sections.
var form = []section{intro, theme, build, chase, middle, again, finale, coda}

// at returns the frame of a step. Bars and steps may run past the section and
// the bar: they go on at the section's own tempo.
func (sec section) at(bar, step int) timebase.Frame {
	t := musicFrom
	for _, earlier := range form {
		if earlier.name == sec.name {
			break
		}
		t += time.Duration(earlier.bars*steps) * earlier.step
	}
	t += time.Duration(bar*steps+step) * sec.step
	return timebase.FrameAt(t, Rate)
}

// span is the length of n steps.
func (sec section) span(n int) timebase.Frame {
	return timebase.FrameAt(time.Duration(n)*sec.step, Rate)
}
