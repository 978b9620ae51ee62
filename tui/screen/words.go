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

// Next says in at most room cells when a cue is lit and when its effect comes: who
// counts to the one must not take it for the other, so each has the same word in any
// window. Where that leaves no room for the cue, the effect is left out.
func Next(lit, effect time.Duration, cue, position string, room int) string {
	at, then := ToGo(lit), ToGo(effect)
	if long := fmt.Sprintf("lit %s, effect %s: cue %s %s", at, then, cue, position); Width(long) <= room {
		return long
	}
	at, then = strings.TrimPrefix(at, "in "), strings.TrimPrefix(then, "in ")
	both := fmt.Sprintf("lit %s effect %s %s", strings.TrimSuffix(at, " s"), then, cue)
	for _, s := range []string{both + " " + position, both} { // the lanes mark where
		if Width(s) <= room {
			return s
		}
	}
	return fmt.Sprintf("lit %s %s", at, cue)
}

// tenths is a span in tenths of a second, cut, not rounded: a countdown
// reaches 0.0 when the moment is there.
func tenths(d time.Duration) (s int64, t int64) {
	n := int64(d / (100 * time.Millisecond))
	return n / 10, n % 10
}

// TenthsText is a span as seconds and tenths, cut: a countdown.
func TenthsText(d time.Duration) string {
	s, t := tenths(max(0, d))
	return fmt.Sprintf("%d.%d", s, t)
}

// DeviceName is the part of an output's name that tells it from others of its
// kind: the device behind the sound system's name.
func DeviceName(output string) string {
	if _, device, ok := strings.Cut(output, ", "); ok {
		return device
	}
	return output
}
