package tracks

import (
	"errors"
	"fmt"
	"math"

	"drylane/playback/calls"
)

// A callsEar measures where each phrase is heard to begin.
type callsEar struct {
	file  *File
	side  *Side
	marks []calls.Mark
	next  int       // mark whose end has not been heard
	tail  []float64 // the last samples heard
	from  int64     // frame of the first of them
	words int
	worst int64 // frames that an onset is off
}

func (c *Calls) listener(f *File, s *Side) listener {
	return &callsEar{file: f, side: s, marks: c.marks}
}

// ahead is how much silence before a phrase is listened to, in seconds; there
// is at least that much between two.
const ahead = 0.08

// stretch is where in the file mark m is listened for.
func (e *callsEar) stretch(m calls.Mark) (lo, hi int64) {
	at := int64(m.At) + e.side.Offset
	start := at - int64(m.Sound.Onset)
	return start - int64(ahead*float64(e.file.Rate)), start + int64(len(m.Sound.Samples))
}

func (e *callsEar) hear(samples []float64, from int64) error {
	if len(e.tail) == 0 {
		e.from = from
	}
	e.tail = append(e.tail, samples...)
	end := from + int64(len(samples))
	for e.next < len(e.marks) {
		lo, hi := e.stretch(e.marks[e.next])
		if hi > end && end < e.file.Length {
			break
		}
		if err := e.measure(e.marks[e.next], max(lo, e.from), min(hi, end)); err != nil {
			return err
		}
		e.next++
	}
	keep := end
	if e.next < len(e.marks) {
		lo, _ := e.stretch(e.marks[e.next])
		keep = max(e.from, min(lo, end))
	}
	e.tail = append(e.tail[:0], e.tail[keep-e.from:]...)
	e.from = keep
	return nil
}

// measure listens to one phrase, which an offset may have moved out of the file.
func (e *callsEar) measure(m calls.Mark, lo, hi int64) error {
	at := int64(m.At) + e.side.Offset
	if at < 0 || at >= e.file.Length {
		if m.Phrase.Kind == calls.Word {
			return fmt.Errorf("the word at %s lies outside the file: no cue may go uncalled", e.file.clock(max(at, 0)))
		}
		return nil
	}
	heard := e.tail[lo-e.from : hi-e.from]
	off, found := e.off(heard, at-lo)
	if !found {
		return fmt.Errorf("found silence at %s; wanted %q", e.file.clock(at), m.Phrase.Text)
	}
	e.worst = max(e.worst, off, -off)
	if float64(max(off, -off)) > math.Ceil(float64(e.file.Rate)/1000) {
		return fmt.Errorf("found %q to begin at %s; wanted %s", m.Phrase.Text, e.file.clock(at+off), e.file.clock(at))
	}
	if m.Phrase.Kind == calls.Word {
		e.words++
	}
	return nil
}

// off is how many frames after want a phrase is heard to begin. Rounding to the
// steps of the encoding can lift a sample over the mark or push it under: the
// nearest of what either would give counts.
func (e *callsEar) off(heard []float64, want int64) (off int64, found bool) {
	loudest := 0.0
	for _, s := range heard {
		loudest = max(loudest, math.Abs(s))
	}
	slack := 2 * e.file.step() / loudest
	for _, part := range [...]float64{calls.OnsetPart, calls.OnsetPart - slack, calls.OnsetPart + slack} {
		onset := calls.OnsetAt(heard, part)
		if onset < 0 {
			continue
		}
		if d := int64(onset) - want; !found || max(d, -d) < max(off, -off) {
			off, found = d, true
		}
	}
	return off, found
}

func (e *callsEar) verdict() (string, error) {
	switch {
	case e.next < len(e.marks):
		return "", fmt.Errorf("found %d of %d phrases", e.next, len(e.marks))
	case len(e.marks) == 0:
		return "", errors.New("found no cue to call; wanted a position with cues")
	}
	return fmt.Sprintf("%d words in %d phrases, each within %d frames of its time (%s is the first word)",
		e.words, len(e.marks), e.worst, e.file.clock(e.firstWord())), nil
}

func (e *callsEar) firstWord() int64 {
	for _, m := range e.marks {
		if m.Phrase.Kind == calls.Word {
			return int64(m.At) + e.side.Offset
		}
	}
	return 0
}
