package retime

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/timebase"
)

// MaxShift is the largest shift that ParseShift takes.
const MaxShift = time.Hour

// ParseShift reads a shift in words: earlier or later, then a time such as 0.3
// or 1:02.250. Positive = cues earlier.
func ParseShift(s string) (time.Duration, error) {
	words := strings.Fields(s)
	if len(words) != 2 || words[0] != "earlier" && words[0] != "later" {
		return 0, fmt.Errorf("found %q; wanted a shift such as \"earlier 0.3\" or \"later 1.25\", in seconds", show.Clean(s))
	}
	d, err := show.ParseTime(words[1])
	switch {
	case err != nil:
		return 0, err
	case d > MaxShift:
		return 0, fmt.Errorf("found a shift of %s; wanted at most %s", timebase.ClockMillis(d), timebase.ClockMillis(MaxShift))
	case d == 0:
		return 0, errors.New("found a shift of nothing; wanted more than 0")
	case words[0] == "later":
		d = -d
	}
	return d, nil
}
