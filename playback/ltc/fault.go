package ltc

import (
	"fmt"
	"math"

	"drylane/show/timebase"
)

// A FaultKind says what is wrong between two frames.
type FaultKind int

// The kinds of Fault.
const (
	Dropout   FaultKind = iota + 1 // nothing could be read for a while
	Jump                           // the label is not the one that was due
	Repeat                         // the same label again, at once
	Turn                           // the running direction changed
	DropFlag                       // the drop frame flag changed
	NoLabel                        // the count in use has no such label
	Backwards                      // the labels count down from the first frame on
)

// A Fault is one place where timecode does not run on.
type Fault struct {
	Kind FaultKind
	// Sample is where: the end of the frame before a dropout, else the start
	// of the frame After.
	Sample int64
	// Before and After are the labels on either side; for NoLabel and
	// Backwards both are the label itself.
	Before, After timebase.Timecode
	// Frames is, for a Dropout, how many frames would have fitted in; for a
	// Jump, by how many frames the label is ahead (positive) or behind.
	Frames int64
	// Samples is how long a Dropout is.
	Samples int64
}

// String says in a few words what happened, without the sample.
func (f Fault) String() string {
	switch f.Kind {
	case Dropout:
		return fmt.Sprintf("no timecode between %s and %s, for %s", f.Before, f.After, frames(f.Frames))
	case Jump:
		if f.Frames < 0 {
			return fmt.Sprintf("after %s comes %s, %s behind", f.Before, f.After, frames(-f.Frames))
		}
		return fmt.Sprintf("after %s comes %s, %s ahead", f.Before, f.After, frames(f.Frames))
	case Repeat:
		return fmt.Sprintf("repeats %s", f.After)
	case Turn:
		return fmt.Sprintf("turns round between %s and %s", f.Before, f.After)
	case DropFlag:
		return fmt.Sprintf("changes between drop frame and none from %s to %s", f.Before, f.After)
	case Backwards:
		return fmt.Sprintf("runs backwards from %s on", f.After)
	case NoLabel:
		return fmt.Sprintf("%s is no label at this rate", f.After)
	}
	return fmt.Sprintf("fault %d", int(f.Kind))
}

// frames writes a count of frames.
func frames(n int64) string {
	if n == 1 {
		return "1 frame"
	}
	return fmt.Sprintf("%d frames", n)
}

// faults returns what is wrong from frame a to frame b, the next one found, if
// count frames are counted to a second.
func faults(a, b Frame, count int) (list []Fault) {
	add := func(kind FaultKind, at float64, frames, samples int64) {
		list = append(list, Fault{kind, int64(math.Round(at)), a.Timecode, b.Timecode, frames, samples})
	}
	if b.Drop && b.Dropped() || b.F >= count {
		list = append(list, Fault{Kind: NoLabel, Sample: b.Sample(), Before: b.Timecode, After: b.Timecode})
	}
	gap := b.Start - (a.Start + a.Length)
	missing := int64(math.Round(gap / a.Length))
	if gap > a.Length/4 {
		add(Dropout, a.Start+a.Length, max(missing, 0), int64(math.Round(gap)))
	}
	step := dayStep(a, b, count)
	switch {
	case a.Reverse != b.Reverse:
		add(Turn, b.Start, 0, 0)
	case a.Drop != b.Drop:
		add(DropFlag, b.Start, 0, 0)
	case step == 0 && missing == 0:
		add(Repeat, b.Start, 0, 0)
	case step != missing+1:
		add(Jump, b.Start, step-missing-1, 0)
	}
	return list
}

// dayStep counts the labels from a to b in the direction they run, by the
// shorter way round the clock.
func dayStep(a, b Frame, count int) int64 {
	day := int64(24*60*60) * int64(count)
	if b.Drop {
		day = timebase.FPS2997Drop.DayFrames()
	}
	step := b.Frames(count) - a.Frames(count)
	if b.Reverse {
		step = -step
	}
	return mod(step+day/2, day) - day/2
}
