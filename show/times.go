package show

import (
	"errors"
	"fmt"
	"strings"
	"time"
)

// MaxTime is the longest time that a show file may hold.
const MaxTime = 24 * time.Hour

// timeWanted ends every message about a time that does not read as one.
const timeWanted = "seconds such as 83.250 or m:ss.mmm"

// Reasons for which ParseTime refuses a time.
var (
	errTimeForm     = errors.New("wanted " + timeWanted)
	errTimeComma    = errors.New("wanted " + timeWanted + ", with a point, not a comma")
	errTimeSixty    = errors.New("wanted minutes and seconds below 60, in two digits, after a colon")
	errTimeDecimals = errors.New("wanted at most three decimals")
	errTimeLong     = errors.New("wanted a time of at most 24 hours")
)

// ParseTime reads a time in whole milliseconds: seconds with up to three
// decimals (83.25), m:ss.mmm (1:23.250) or h:mm:ss.mmm. Only the largest unit
// may pass 59; signs, exponents, blanks and more decimals are errors, as is
// anything above MaxTime. Nothing is rounded. The error says what is wanted.
// timebase.ClockMillis and timebase.Seconds write what it reads.
func ParseTime(s string) (time.Duration, error) {
	d, err := parseTime(s)
	if err != nil {
		return 0, fmt.Errorf("found %s; %w", Quote(s), err)
	}
	return d, nil
}

func parseTime(s string) (time.Duration, error) {
	clock, decimals, pointed := strings.Cut(s, ".")
	parts := strings.SplitN(clock, ":", 4)
	if len(parts) > 3 {
		return 0, errTimeForm
	}
	var seconds int64
	for i, part := range parts {
		n, err := parseDigits(part)
		if err != nil {
			if strings.Contains(s, ",") {
				return 0, errTimeComma
			}
			return 0, err
		}
		if i > 0 && (len(part) != 2 || n > 59) {
			return 0, errTimeSixty
		}
		seconds = seconds*60 + n
	}
	millis, err := parseMillis(decimals)
	if err != nil {
		return 0, err
	}
	if pointed && decimals == "" {
		return 0, errTimeForm
	}
	// parseDigits bounds each part, so that neither sum can overflow.
	d := time.Duration(seconds)*time.Second + millis
	if d > MaxTime {
		return 0, errTimeLong
	}
	return d, nil
}

// parseDigits reads one unit of a time: at most a second more than MaxTime.
func parseDigits(s string) (int64, error) {
	n, ok := Digits(s, int64(MaxTime/time.Second)+1)
	if !ok {
		return 0, errTimeForm
	}
	return n, nil
}

// Digits reads a whole number made of digits alone, at least one. A number past
// most reads as most.
func Digits(s string, most int64) (n int64, ok bool) {
	for i := range len(s) {
		c := s[i]
		if c < '0' || c > '9' {
			return 0, false
		}
		n = min(n*10+int64(c-'0'), most)
	}
	return n, s != ""
}

// parseMillis reads the decimals of a second.
func parseMillis(s string) (time.Duration, error) {
	unit := time.Second
	var d time.Duration
	for i := range len(s) {
		c := s[i]
		if c < '0' || c > '9' {
			return 0, errTimeForm
		}
		if unit /= 10; unit < time.Millisecond {
			return 0, errTimeDecimals
		}
		d += time.Duration(c-'0') * unit
	}
	return d, nil
}
