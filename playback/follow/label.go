package follow

import (
	"math"

	"drylane/show/timebase"
)

// A Label is one label as it was read.
type Label struct {
	timebase.Timecode
	Start, Length float64 // samples; Length is that of all its Frames
	Frames        int     // of code that it stands for: 1, or 2 for MIDI timecode
	Reverse       bool
	Count         int // frames counted to a second where the code tells; else 0
}

func (l Label) end() float64 { return l.Start + l.Length }

// A frame may be off by this much and still run on, as a part of its length.
const jitter = 0.25

// runsOn reports whether b follows on a at once, in time and by its label, at one of
// some counts of frames to a second.
func runsOn(a, b Label, counts []int) bool {
	if a.Reverse != b.Reverse || a.Drop != b.Drop || a.Frames != b.Frames ||
		math.Abs(b.Start-a.end()) > jitter*a.Length || math.Abs(b.Length/a.Length-1) > jitter {
		return false
	}
	want := int64(b.Frames)
	if b.Reverse {
		want = -want
	}
	for _, n := range counts {
		switch {
		case max(a.F, b.F) >= n, b.Drop && n != timebase.FPS2997Drop.Count(): // it has no such label
		case between(a.Timecode, b.Timecode, n) == want:
			return true
		}
	}
	return false
}

// between counts the frames from label a to label b, the shorter way round the
// clock, with so many to a second.
func between(a, b timebase.Timecode, count int) int64 {
	day := int64(24*60*60) * int64(count)
	if b.Drop {
		day = timebase.FPS2997Drop.DayFrames()
	}
	d := (b.Frames(count) - a.Frames(count)) % day
	switch {
	case d > day/2:
		return d - day
	case d < -day/2:
		return d + day
	}
	return d
}
