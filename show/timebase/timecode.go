package timebase

import (
	"fmt"
)

// A Timecode is the label of one frame. Drop says that it was counted in drop
// frame, which only rates near 30 use.
type Timecode struct {
	H, M, S, F int // 0..23, 0..59, 0..59, 0..29
	Drop       bool
}

// String writes hh:mm:ss:ff, and hh:mm:ss;ff for drop frame.
func (t Timecode) String() string {
	sep := ':'
	if t.Drop {
		sep = ';'
	}
	return fmt.Sprintf("%02d:%02d:%02d%c%02d", t.H, t.M, t.S, sep, t.F)
}

// A LabelError is a label that a rate does not have, or none at all.
type LabelError struct {
	Label  string
	Wanted string // such as 00:00:00:00 to 23:59:59:24 at 25
}

// Error returns what was found and what is wanted.
func (e *LabelError) Error() string {
	return fmt.Sprintf("found the timecode label %.40q; wanted %s", e.Label, e.Wanted)
}

// ParseTimecode reads what String writes, two digits a field. It does not know
// the rate: ParseLabel does.
func ParseTimecode(s string) (Timecode, error) {
	t, ok := fields(s)
	switch {
	case !ok:
		return Timecode{}, &LabelError{s, "hh:mm:ss:ff, or hh:mm:ss;ff for drop frame"}
	case !t.InRange():
		return Timecode{}, &LabelError{s, "00:00:00:00 to 23:59:59:29"}
	}
	return t, nil
}

// ParseLabel reads the label of a frame at a rate. A label of drop frame makes
// 29.97 the rate that drops. The error is a *LabelError.
func ParseLabel(rate Rate, s string) (Rate, Timecode, error) {
	t, ok := fields(s)
	if rate == FPS2997 && t.Drop {
		rate = FPS2997Drop
	}
	if !ok {
		return 0, Timecode{}, &LabelError{s, rate.form()}
	}
	if wanted := rate.wanted(t); wanted != "" {
		return 0, Timecode{}, &LabelError{s, wanted}
	}
	return rate, t, nil
}

// fields reads two digits a field, whatever they say.
func fields(s string) (t Timecode, ok bool) {
	if len(s) != len("hh:mm:ss:ff") {
		return t, false
	}
	var field [4]int
	for i := range field {
		tens, units := s[3*i]-'0', s[3*i+1]-'0'
		if tens > 9 || units > 9 {
			return t, false
		}
		field[i] = 10*int(tens) + int(units)
	}
	if s[2] != ':' || s[5] != ':' || s[8] != ':' && s[8] != ';' {
		return t, false
	}
	return Timecode{field[0], field[1], field[2], field[3], s[8] == ';'}, true
}

// InRange tells whether each field is one that some rate has.
func (t Timecode) InRange() bool {
	return 0 <= t.H && t.H < 24 && 0 <= t.M && t.M < 60 && 0 <= t.S && t.S < 60 && 0 <= t.F && t.F < 30
}

// Dropped tells whether drop frame leaves t out: frames 00 and 01 of second 0
// of each minute that does not end in 0 (ST 12-1, 5.2.2).
func (t Timecode) Dropped() bool { return t.F < 2 && t.S == 0 && t.M%10 != 0 }

// Frames that drop frame counts, and how many labels it leaves out.
const (
	dropPerMinute = 2
	dropMinute    = 60*30 - dropPerMinute      // 1798
	dropTen       = 10*60*30 - 9*dropPerMinute // 17982
)

// DayFrames returns how many labels there are in 24 hours.
func (r Rate) DayFrames() int64 {
	if r.Drop() {
		return 24 * 6 * dropTen
	}
	return 24 * 60 * 60 * int64(r.Count())
}

// Timecode returns the label of frame k, where frame 0 is 00:00:00:00. Labels
// start again after 24 hours; a negative k counts back from midnight.
func (r Rate) Timecode(k int64) Timecode {
	n := mod(k, r.DayFrames())
	if r.Drop() {
		tens, in := n/dropTen, n%dropTen
		// The first minute of ten has two frames more than the others.
		n += 9*dropPerMinute*tens + dropPerMinute*max(0, (in-dropPerMinute)/dropMinute)
	}
	count := int64(r.Count())
	s := n / count
	return Timecode{int(s / 3600), int(s / 60 % 60), int(s % 60), int(n % count), r.Drop()}
}

// Index returns which frame after 00:00:00:00 carries the label t. It is a
// *LabelError if this rate has no such label; Drop must fit the rate.
func (r Rate) Index(t Timecode) (int64, error) {
	if wanted := r.wanted(t); wanted != "" {
		return 0, &LabelError{t.String(), wanted}
	}
	return t.Frames(r.Count()), nil
}

// wanted says what labels there are, empty if t is one of them.
func (r Rate) wanted(t Timecode) string {
	switch {
	case t.Drop != r.Drop():
		return r.form()
	case !t.InRange() || t.F >= r.Count():
		first, last := Timecode{Drop: r.Drop()}, Timecode{23, 59, 59, r.Count() - 1, r.Drop()}
		return fmt.Sprintf("%s to %s at %s", first, last, r)
	case t.Drop && t.Dropped():
		return "a frame from 02 on: drop frame leaves out 00 and 01 of that minute"
	}
	return ""
}

// form is how a label of this rate is written.
func (r Rate) form() string {
	if r.Drop() {
		return "hh:mm:ss;ff at " + r.String()
	}
	return "hh:mm:ss:ff at " + r.String()
}

// Frames counts the frames from 00:00:00:00 to t at count frames a second.
func (t Timecode) Frames(count int) int64 {
	minutes := 60*t.H + t.M
	n := int64(60*minutes+t.S)*int64(count) + int64(t.F)
	if t.Drop {
		n -= dropPerMinute * int64(minutes-minutes/10)
	}
	return n
}
