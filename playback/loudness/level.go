package loudness

import (
	"fmt"
	"math"
	"strconv"
)

// A Level is a value in dB, LU or LUFS. Silence is minus infinity, for which
// JSON has no number: it is written as the string "-inf", and plus infinity
// (the balance of a stream with a silent right channel) as "+inf".
type Level float64

// Silence is the level of no signal at all.
var Silence = Level(math.Inf(-1))

// decibels returns the level of a magnitude, against 1.
func decibels(magnitude float64) Level { return Level(20 * math.Log10(magnitude)) }

// String gives one decimal and no unit, as in "-23.0" or "-inf".
func (l Level) String() string {
	switch {
	case math.IsInf(float64(l), -1):
		return "-inf"
	case math.IsInf(float64(l), 1):
		return "+inf"
	case l > -0.05 && l < 0:
		return "0.0" // never "-0.0"
	}
	return strconv.FormatFloat(float64(l), 'f', 1, 64)
}

// MarshalJSON implements json.Marshaler.
func (l Level) MarshalJSON() ([]byte, error) {
	f := float64(l)
	if math.IsNaN(f) {
		return nil, fmt.Errorf("a level that is not a number cannot be written")
	}
	if math.IsInf(f, 0) {
		return strconv.AppendQuote(nil, l.String()), nil
	}
	return strconv.AppendFloat(nil, f, 'g', -1, 64), nil
}

// UnmarshalJSON implements json.Unmarshaler.
func (l *Level) UnmarshalJSON(b []byte) error {
	switch s := string(b); s {
	case "null":
		return nil
	case `"-inf"`:
		*l = Silence
	case `"+inf"`:
		*l = -Silence
	default:
		f, err := strconv.ParseFloat(s, 64)
		if err != nil || math.IsInf(f, 0) || math.IsNaN(f) {
			return fmt.Errorf("%s is no level, wanted a number of dB, \"-inf\" or \"+inf\"", s)
		}
		*l = Level(f)
	}
	return nil
}
