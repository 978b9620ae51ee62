package exchange

import (
	"errors"
	"strings"
	"time"

	"drylane/show"
)

// Reasons for which a number or a time is refused; each says what is wanted.
var (
	errNumber    = errors.New("a number such as 12.5")
	errPoint     = errors.New("a decimal comma, as the file or --decimal has it")
	errComma     = errors.New("a decimal point, as the file or --decimal has it")
	errLong      = errors.New("a time of at most 24 hours")
	errSixty     = errors.New("minutes and seconds below 60 after a colon")
	errTime      = errors.New("seconds such as 83.25 or m:ss.t")
	errFrames    = errors.New("h:mm:ss:ff, or --notation and --rate for what it is")
	errNoRate    = errors.New("a --rate to count frames at")
	errFrameHigh = errors.New("a frame number below the frame rate")
	errDropped   = errors.New("a label that drop-frame timecode has: it leaves out frames 00 and 01 of most minutes")
	errNegative  = errors.New("a time that is not before the start of the music")
)

// nano is the unit of a decimal: a number with nine decimals as an integer.
const nano = 1_000_000_000

// maxWhole bounds the whole part of a number, so that nothing overflows: a day
// in milliseconds.
const maxWhole = int64(show.MaxTime / time.Millisecond)

// parseDecimal reads a number without a sign, in units of 1/nano; decimals past
// the ninth are cut. point is the decimal character.
func parseDecimal(s string, point byte) (int64, error) {
	whole, decimals, pointed := strings.Cut(s, string(point))
	n, err := digits(whole)
	if err != nil || pointed && decimals == "" {
		return 0, pointError(s, point)
	}
	unit, part := int64(nano), int64(0)
	for i := range len(decimals) {
		c := decimals[i]
		if c < '0' || c > '9' {
			return 0, pointError(s, point)
		}
		unit /= 10
		part += int64(c-'0') * unit
	}
	return n*nano + part, nil
}

// pointError words a refused number: most often it has the other decimal
// character.
func pointError(s string, point byte) error {
	switch {
	case point == ',' && strings.Contains(s, "."):
		return errPoint
	case point == '.' && strings.Contains(s, ","):
		return errComma
	}
	return errNumber
}

// digits reads a whole number of at least one digit; past maxWhole it stays
// just above it.
func digits(s string) (int64, error) {
	n, ok := show.Digits(s, maxWhole+1)
	if !ok {
		return 0, errNumber
	}
	return n, nil
}

// sniffDecimal finds the decimal character of a file from the cells that hold
// its numbers. both reports that it has both.
func sniffDecimal(cells func(yield func(string) bool)) (point byte, both bool) {
	var commas, points bool
	for c := range cells {
		if strings.Trim(strings.TrimSpace(c), "0123456789:;.,") != "" {
			continue // not a number; it is refused when its row is read
		}
		commas = commas || strings.Contains(c, ",")
		points = points || strings.Contains(c, ".")
	}
	if commas {
		point = ','
	} else {
		point = '.'
	}
	return point, commas && points
}
