package output

import (
	"slices"
	"time"
)

// A line tells where a device is at any moment, also one to come, closer than a
// single reading does: the device goes at its rate, and each reading is off by
// where the device is in its own steps and by the travel of the answer. It is
// what two outputs are set together by; a clock, which follows at once when a
// device runs dry, tells what has been heard.
type line struct {
	rate    int
	offsets []int64 // of the latest readings: position less what the rate makes of the time
	middle  int64
}

const (
	lineReadings = 96 // about a second
	// A device that has stood still is followed at once where its readings are
	// good enough: so many of them, this close together, this far from the rest.
	moveReadings = 6
	moveSpread   = 400 * time.Microsecond
	moveLeast    = 500 * time.Microsecond
)

func (l *line) add(r reading) {
	if len(l.offsets) == lineReadings {
		l.offsets = l.offsets[:copy(l.offsets, l.offsets[1:])]
	}
	l.offsets = append(l.offsets, r.pos-frames(r.at, l.rate))
	if n := len(l.offsets) - moveReadings; n > 0 {
		latest := l.offsets[n:]
		lo, hi := slices.Min(latest), slices.Max(latest)
		far := frames(moveLeast, l.rate)
		if hi-lo < frames(moveSpread, l.rate) && (lo > l.middle+far || hi < l.middle-far) {
			l.offsets = l.offsets[:copy(l.offsets, latest)]
		}
	}
	l.middle = middle(l.offsets)
}

// middle is the mean of the middle half: those that are far off do not count.
func middle(list []int64) int64 {
	sorted := slices.Sorted(slices.Values(list))
	half := sorted[len(sorted)/4 : len(sorted)-len(sorted)/4]
	var sum int64
	for _, x := range half {
		sum += x - half[0]
	}
	return half[0] + sum/int64(len(half))
}

// at is the position at t.
func (l *line) at(t time.Duration) (pos int64, ok bool) {
	return frames(t, l.rate) + l.middle, len(l.offsets) > 0
}

// when is the moment at which the device is at pos.
func (l *line) when(pos int64) (t time.Duration, ok bool) {
	return duration(pos-l.middle, l.rate), len(l.offsets) > 0
}
