package show

import (
	"time"

	"drylane/show/timebase"
)

// A Follow says how a show follows timecode that somebody else's player sends.
type Follow struct {
	From  timebase.Timecode // the label at the first frame of the soundtrack
	Rate  timebase.Rate     // 0: found from the code
	Carry time.Duration     // how long a run goes on without hearing it
}

// The limits of Follow.Carry, and what it is unless the show says otherwise. Code
// that has stopped is carried on by as much, so it is short.
const (
	DefaultCarry = 200 * time.Millisecond
	minCarry     = 100 * time.Millisecond
	maxCarry     = time.Second
)

// readFollow reads [follow]; nil when there is none.
func readFollow(top *Table) *Follow {
	t := top.Sub("follow")
	defer t.Done()
	f := &Follow{Carry: t.duration("carry", minCarry, maxCarry, 1, DefaultCarry)}
	if s := t.Text("rate"); s != "" {
		rate, err := timebase.ParseRate(s)
		if err != nil {
			t.Note(CodeValue, "rate", Quote(s), "23.976, 24, 25, 29.97, 29.97 drop or 30")
		}
		f.Rate = rate
	}
	if s := t.Text("from"); s != "" {
		var err error
		if f.Rate, f.From, err = ParseFollow(f.Rate, s); err != nil {
			t.Note(CodeValue, "from", Quote(s), err.Error())
		}
	}
	if !top.Has("follow") {
		return nil
	}
	return f
}

// ParseFollow reads the label at the first frame of the soundtrack, at a rate or, with
// 0, at one that is yet to be found. A label of drop frame makes 29.97 the rate that
// drops, and tells the rate by itself. The error says what is wanted.
func ParseFollow(rate timebase.Rate, label string) (timebase.Rate, timebase.Timecode, error) {
	if rate != 0 {
		r, from, err := timebase.ParseLabel(rate, label)
		return r, from, wantedLabel(err)
	}
	from, err := timebase.ParseTimecode(label)
	if err == nil && from.Drop {
		return ParseFollow(timebase.FPS2997Drop, label)
	}
	return 0, from, wantedLabel(err)
}

// A labelWanted is what a label has to be.
type labelWanted string

func (w labelWanted) Error() string { return string(w) }

func wantedLabel(err error) error {
	if wrong, ok := err.(*timebase.LabelError); ok {
		return labelWanted(wrong.Wanted)
	}
	return err
}

// Following is how the show follows timecode: as [follow] says, else by the timecode of
// its first companion track that has some, from its first frame on; else from 0:00.
func (s *Show) Following() Follow {
	if s.Follow != nil {
		return *s.Follow
	}
	for _, t := range s.Tracks {
		for _, side := range [...]string{t.Left, t.Right} {
			if c, err := ParseChannel(side); err == nil && c.Source == ChannelTimecode && c.Offset == 0 {
				return Follow{From: c.Start, Rate: c.Rate, Carry: DefaultCarry}
			}
		}
	}
	return Follow{Carry: DefaultCarry}
}
