package deck

import (
	"drylane/playback"
	"drylane/show/timebase"
)

// An aside is sound that the first output plays while the music stands still. Its
// frames are none of the music's: when it is over the output counts on as if it had
// never been. The zero aside is none.
type aside struct {
	voices   playback.Voices
	next     timebase.Frame // to write, from 0
	end      timebase.Frame
	from     int64 // what the output had heard when it began
	sounding bool
}

// beginAside plays voices from their frame 0 up to end. It needs an output.
func (d *Deck) beginAside(voices playback.Voices, end timebase.Frame) {
	if d.out == nil {
		return
	}
	from, err := d.out.Heard()
	if err != nil { // it is found out when the music is to go on
		return
	}
	d.aside = aside{voices: voices, end: end, from: from}
	d.playAside()
}

// playAside writes what the output has room for, and ends the aside once it has
// been heard.
func (d *Deck) playAside() {
	a := &d.aside
	if a.end == 0 || d.out == nil {
		return
	}
	// Silence behind it keeps the device from running dry before its end is seen.
	for until := a.end + d.plan.Guard; a.next < until; {
		n := min(d.out.Space(), chunk, int(until-a.next))
		if n <= 0 {
			break
		}
		part := d.buf[0][:n]
		clear(part)
		a.voices.MixInto(part, a.next, d.gain)
		if d.out.Write(part) != nil {
			d.endAside()
			return
		}
		a.next += timebase.Frame(n)
	}
	if !a.sounding {
		a.sounding = d.out.Start() == nil
	}
	if heard, err := d.out.Heard(); err != nil || !a.sounding || heard >= a.from+int64(a.end) {
		d.endAside()
	}
}

// endAside makes the output ready for the music again.
func (d *Deck) endAside() {
	if d.aside.end == 0 {
		return
	}
	d.aside = aside{}
	if d.out == nil {
		return
	}
	if heard, err := d.out.Hold(); err == nil {
		d.base = d.rendered - timebase.Frame(heard)
	}
	d.under = d.out.Underruns() // what ran dry was none of the music
}
