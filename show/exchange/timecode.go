package exchange

import (
	"strings"
	"time"

	"drylane/show"
)

// A Rate is a frame rate of timecode.
type Rate struct {
	Name     string
	Label    int64 // frames that a second of labels counts
	Num, Den int64 // frames a second of real time
	Drop     bool  // labels 00 and 01 are left out of most minutes (SMPTE ST 12-1)
}

// Rates are the frame rates that are read.
var Rates = []Rate{
	{"23.976", 24, 24000, 1001, false},
	{"24", 24, 24, 1, false},
	{"25", 25, 25, 1, false},
	{"29.97df", 30, 30000, 1001, true},
	{"29.97ndf", 30, 30000, 1001, false},
	{"30", 30, 30, 1, false},
}

// rateNamed returns the rate of a name.
func rateNamed(name string) (Rate, bool) {
	for _, r := range Rates {
		if r.Name == name {
			return r, true
		}
	}
	return Rate{}, false
}

// At returns when frame n of a stream begins, rounded to the nanosecond.
func (r Rate) At(n int64) time.Duration {
	per := r.Den * int64(time.Second)
	whole, rest := n/r.Num, n%r.Num
	return time.Duration(whole*per + (rest*per+r.Num/2)/r.Num)
}

// Index returns how many frames lie before the one with a label.
func (r Rate) Index(h, m, s, f int64) (int64, error) {
	switch {
	case m > 59 || s > 59:
		return 0, errSixty
	case f >= r.Label:
		return 0, errFrameHigh
	case h > 24:
		return 0, errLong
	}
	minutes := h*60 + m
	n := (minutes*60+s)*r.Label + f
	if r.Drop {
		if s == 0 && f < 2 && m%10 != 0 {
			return 0, errDropped
		}
		n -= 2 * (minutes - minutes/10)
	}
	return n, nil
}

// Notations of a time.
const (
	Seconds      = "seconds"      // 83.25
	Clock        = "clock"        // m:ss.t or h:mm:ss.t
	Frames       = "frames"       // h:mm:ss:ff at a rate
	Milliseconds = "milliseconds" // 83250
)

// Notations are the notations' names. Auto takes a time without a colon for
// seconds, with one or two for a clock and with three for frames.
var Notations = []string{Seconds, Clock, Frames, Milliseconds}

// A timeReader reads the times of one column.
type timeReader struct {
	notation string
	point    byte
	rate     Rate // zero: none is given
	count    bool // frames without a colon are a number of frames, as of a prefire
}

// read returns the time in nanoseconds. The error says what is wanted.
func (r timeReader) read(s string) (time.Duration, error) {
	s = strings.TrimSpace(s)
	if strings.HasPrefix(s, "-") || strings.HasPrefix(s, "\u2212") {
		return 0, errNegative
	}
	s, notation := r.unit(s)
	parts := strings.Split(s, ":")
	if notation == Auto || notation == "" {
		switch {
		case strings.Contains(s, ";") || len(parts) == 4:
			notation = Frames
		case len(parts) > 1:
			notation = Clock
		default:
			notation = Seconds
		}
	}
	switch notation {
	case Frames:
		return r.frames(s)
	case Clock:
		return r.clock(parts)
	}
	n, err := parseDecimal(s, r.point)
	switch {
	case err == errNumber && r.notation != Milliseconds && r.notation != Seconds:
		return 0, errTime
	case err != nil:
		return 0, err
	case notation == Milliseconds:
		n /= 1000
	}
	return within(n)
}

// unit takes a unit off the end of a time; it outranks the column's notation.
func (r timeReader) unit(s string) (rest, notation string) {
	for _, u := range [...]struct{ end, notation string }{{"ms", Milliseconds}, {"s", Seconds}} {
		if head, ok := strings.CutSuffix(s, u.end); ok && !strings.Contains(head, ":") {
			return strings.TrimSpace(head), u.notation
		}
	}
	return s, r.notation
}

// clock reads m:ss.t, h:mm:ss.t or seconds.
func (r timeReader) clock(parts []string) (time.Duration, error) {
	if len(parts) > 3 {
		return 0, errFrames
	}
	last := len(parts) - 1
	n, err := parseDecimal(parts[last], r.point)
	if err != nil {
		if err == errNumber {
			err = errTime
		}
		return 0, err
	}
	if last > 0 && n >= 60*nano {
		return 0, errSixty
	}
	unit := int64(60)
	for i := last - 1; i >= 0; i-- {
		v, err := digits(parts[i])
		if err != nil {
			return 0, errTime
		}
		if i > 0 && v > 59 {
			return 0, errSixty
		}
		if v*unit > int64(show.MaxTime/time.Second) {
			return 0, errLong
		}
		n += v * unit * nano
		unit *= 60
	}
	return within(n)
}

// frames reads h:mm:ss:ff, mm:ss:ff, ss:ff or, where count is set, ff. A
// semicolon before the frames is as good as a colon.
func (r timeReader) frames(s string) (time.Duration, error) {
	if r.rate.Num == 0 {
		return 0, errNoRate
	}
	parts := strings.FieldsFunc(s, func(c rune) bool { return c == ':' || c == ';' })
	if len(parts) == 0 || len(parts) > 4 || len(parts) == 1 && !r.count || strings.Count(s, ":")+strings.Count(s, ";") != len(parts)-1 {
		return 0, errFrames
	}
	var v [4]int64
	for i, p := range parts {
		n, err := digits(p)
		if err != nil {
			return 0, errFrames
		}
		v[4-len(parts)+i] = n
	}
	if len(parts) == 1 {
		return within(int64(r.rate.At(v[3])))
	}
	n, err := r.rate.Index(v[0], v[1], v[2], v[3])
	if err != nil {
		return 0, err
	}
	return within(int64(r.rate.At(n)))
}

// within refuses a time that no show file may hold.
func within(n int64) (time.Duration, error) {
	if n < 0 || n > int64(show.MaxTime) {
		return 0, errLong
	}
	return time.Duration(n), nil
}
