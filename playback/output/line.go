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
	offsets []int64 // of the readings: position less what the rate makes of the time
	next    int     // the oldest, once there are lineReadings
	middle  int64
	stale   bool // middle is of other offsets
}

// lineReadings is about a second of them.
const lineReadings = 96

func (l *line) add(r reading) {
	offset := r.pos - frames(r.at, l.rate)
	l.stale = true
	if len(l.offsets) < lineReadings {
		l.offsets = append(l.offsets, offset)
		return
	}
	l.offsets[l.next] = offset
	l.next = (l.next + 1) % lineReadings
}

// offset is the mean of the middle half: readings that are far off do not
// count, and a device that has stood still is followed within half a second.
func (l *line) offset() int64 {
	if !l.stale {
		return l.middle
	}
	sorted := slices.Sorted(slices.Values(l.offsets))
	half := sorted[len(sorted)/4 : len(sorted)-len(sorted)/4]
	var sum int64
	for _, o := range half {
		sum += o - half[0]
	}
	l.middle, l.stale = half[0]+sum/int64(len(half)), false
	return l.middle
}

// at is the position at t.
func (l *line) at(t time.Duration) (pos int64, ok bool) {
	if len(l.offsets) == 0 {
		return 0, false
	}
	return frames(t, l.rate) + l.offset(), true
}

// when is the moment at which the device is at pos, 0 before the first reading.
func (l *line) when(pos int64) time.Duration {
	if len(l.offsets) == 0 {
		return 0
	}
	return duration(pos-l.offset(), l.rate)
}
