package screen

import (
	"fmt"
	"strings"
	"time"

	"drylane/show/timebase"
)

// ClockText is d as m:ss, or h:mm:ss from an hour on; never below 0.
func ClockText(d time.Duration) string { return timebase.Clock(max(0, d)) }

// ToGo is a time to go, such as "in 3.4 s" or "in 2:05".
func ToGo(d time.Duration) string {
	if d >= 100*time.Second {
		return "in " + ClockText(d)
	}
	s, t := tenths(d)
	return fmt.Sprintf("in %d.%d s", s, t)
}

// SpanUp is a span such as "3.4 s" or "2:05", rounded up.
func SpanUp(d time.Duration) string { return strings.TrimPrefix(ToGoUp(d), "in ") }

// ToGoUp is ToGo rounded up, for what is safe only once it is over.
func ToGoUp(d time.Duration) string { return ToGo(d + 100*time.Millisecond - 1) }

// Next says in at most room cells when a cue is lit and when its effect is seen: who
// counts to the one must not take it for the other. Where that leaves no room for
// the cue the words are shorter.
func Next(lit, seen time.Duration, cue, position string, room int) string {
	at, effect := ToGo(lit), ToGo(seen)
	long := fmt.Sprintf("ignition %s, effect %s: cue %s %s", at, effect, cue, position)
	if Width(long) <= room {
		return long
	}
	short := func(s string) string { return strings.TrimPrefix(s, "in ") }
	return fmt.Sprintf("lit %s effect %s %s %s", short(at), short(effect), cue, position)
}

// tenths is a span in tenths of a second, cut, not rounded: a countdown
// reaches 0.0 when the moment is there.
func tenths(d time.Duration) (s int64, t int64) {
	n := int64(d / (100 * time.Millisecond))
	return n / 10, n % 10
}

// DeviceName is the part of an output's name that tells it from others of its
// kind: the device behind the sound system's name.
func DeviceName(output string) string {
	if _, device, ok := strings.Cut(output, ", "); ok {
		return device
	}
	return output
}
