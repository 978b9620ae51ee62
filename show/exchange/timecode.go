package exchange

import (
	"strings"
	"time"

	"drylane/show"
	"drylane/show/timebase"
)

// rateNames are other names of rates, in profiles that people have.
var rateNames = map[string]timebase.Rate{"29.97df": timebase.FPS2997Drop, "29.97ndf": timebase.FPS2997}

// rateNamed returns the rate of a name, 0 if there is none.
func rateNamed(name string) timebase.Rate {
	if r, ok := rateNames[name]; ok {
		return r
	}
	r, _ := timebase.ParseRate(name)
	return r
}

// index returns how many frames lie before the one with a label. It takes what
// timecode itself does not: 24 hours, as the end of a day, and any separator.
func index(rate timebase.Rate, h, m, s, f int64) (int64, error) {
	t := timebase.Timecode{H: int(h), M: int(m), S: int(s), F: int(f), Drop: rate.Drop()}
	switch {
	case t.M > 59 || t.S > 59:
		return 0, errSixty
	case t.F >= rate.Count():
		return 0, errFrameHigh
	case t.H > 24:
		return 0, errLong
	case t.Drop && t.Dropped():
		return 0, errDropped
	}
	return t.Frames(rate.Count()), nil
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
	rate     timebase.Rate // 0: none is given
	count    bool          // frames without a colon are a number of frames, as of a prefire
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
	if !r.rate.Valid() {
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
	n, err := index(r.rate, v[0], v[1], v[2], v[3])
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
