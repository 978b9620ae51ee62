package deck

import (
	"time"

	"drylane/playback"
	"drylane/playback/output"
	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
)

// A SecondOutput plays a companion beside the music, on an output of its own.
type SecondOutput struct {
	Companion                 // Stream is open
	Output    playback.Output // at Plan.Rate; the deck closes it
	// Reopen opens the output again, on start or resume after it was lost.
	Reopen func() (playback.Output, error)
}

// A second is the second output of a run. It never holds the show up: what goes
// wrong with it is said, and the show goes on without it.
type second struct {
	SecondOutput
	out            playback.Output  // nil after it was lost
	base, rendered timebase.Frame   // as a deck's
	dry            int              // underruns of both, as last looked at
	ahead          []timebase.Frame // by how much its frames came early, as last measured
	checked        time.Time        // when it last was put right
	off            time.Duration    // middle of ahead, for the screen
	mending        mending          // what is still to be told of putting it right
	still          standstill
	silent         bool  // it stands still, which has been told
	broken         error // why the companion could not be read; nil when it could
	said           bool  // ... which has been told
	mute           func(part [][2]float64)
}

// newSecond returns the second output; what it plays goes through mute.
func newSecond(o *SecondOutput, mute func(c *Companion, part [][2]float64)) *second {
	if o == nil {
		return nil
	}
	s := &second{SecondOutput: *o, out: o.Output}
	s.mute = func(part [][2]float64) { mute(&s.Companion, part) }
	return s
}

// wind makes f the next frame to render.
func (s *second) wind(f timebase.Frame) {
	s.base += f - s.rendered
	s.rendered = f
}

// render writes as much as the output takes, up to frame end.
func (s *second) render(end timebase.Frame) error {
	var buf [chunk][2]float64
	for s.rendered < end {
		n := min(s.out.Space(), chunk, int(end-s.rendered))
		if n <= 0 {
			return nil
		}
		if err := read(s.Stream, buf[:n], s.rendered); err != nil {
			s.broken = err
		}
		s.mute(buf[:n])
		if err := s.out.Write(buf[:n]); err != nil {
			return err
		}
		s.rendered += timebase.Frame(n)
	}
	return nil
}

// forAll is an end that no show comes to.
const forAll = timebase.Frame(1) << 60

// pair returns the two outputs if both tell when their frames sound. Otherwise
// the second is written as the first is heard, which is exact for a file.
func (d *Deck) pair() (a, b output.Timed, ok bool) {
	if d.second == nil || d.second.out == nil || d.cfg.Now == nil {
		return nil, nil, false
	}
	a, okA := timed(d.out)
	b, okB := d.second.out.(output.Timed)
	return a, b, okA && okB
}

// timed returns the output that a drill may have taken hold of; none while the
// drill has taken it away.
func timed(out playback.Output) (output.Timed, bool) {
	if f, ok := out.(fragile); ok && f.gone() == nil {
		out = f.Output
	}
	t, ok := out.(output.Timed)
	return t, ok
}

// readySecond winds the second output to frame f before a start, and brings it
// back if it was lost and is there again.
func (d *Deck) readySecond(f timebase.Frame) {
	s := d.second
	if s == nil {
		return
	}
	if s.out == nil {
		out, err := s.Reopen()
		if err != nil {
			d.say(Alarm, "second output: "+s.Name+" is still lost: "+err.Error())
			return
		}
		s.out, s.base = out, s.rendered
		s.still.opened(d.clock.Now())
		d.say(Plain, "second output: "+d.tellSecond(session.Data{Did: session.SecondBack, Output: out.Name()}))
	}
	s.wind(f)
}

// tellSecond logs what happened to the second output, and returns it in words.
func (d *Deck) tellSecond(what session.Data) string {
	what.Track = d.second.Name
	return d.tell(show.ByNobody, session.KindSecond, what)
}

// start lets the outputs sound, such that one frame sounds on both at one
// moment.
func (d *Deck) start() error {
	d.still.begin(d.clock.Now(), d.t.Heard(), d.out.Latency())
	a, b, ok := d.pair()
	if !ok {
		if d.second != nil && d.second.out != nil {
			d.keepSecond(d.second.out.Start())
		}
		return d.out.Start()
	}
	if !d.keepSecond(d.second.render(forAll)) {
		return d.out.Start()
	}
	when, err := a.Soonest()
	if err != nil {
		return err
	}
	later, err := b.Soonest()
	if !d.keepSecond(err) {
		return d.out.Start()
	}
	if wait := later.Sub(when); wait > longestWait {
		d.tellSecond(session.Data{Did: session.SecondSlow, WaitNS: int64(wait)})
	} else if wait > 0 {
		when = later
	}
	when = when.Add(2 * time.Millisecond)
	d.still.may += max(0, when.Sub(d.clock.Now()))
	if err := a.StartAt(when); err != nil {
		return err
	}
	d.keepSecond(b.StartAt(when))
	d.second.begins(d.clock.Now(), when, d.t.Heard())
	if !d.second.silent {
		d.second.mending = mending{}
	}
	return nil
}

// begins says that the second output is to sound from a moment on, from frame at.
func (s *second) begins(now, when time.Time, at timebase.Frame) {
	s.ahead, s.checked = nil, now
	if s.out != nil {
		s.still.begin(now, at, s.out.Latency()+max(0, when.Sub(now)))
	}
}

// longestWait is how long a start waits for the second output; for a hold there
// is less time.
const (
	longestWait = 500 * time.Millisecond
	longestHold = 40 * time.Millisecond
)

// stop holds the outputs, at one frame if that can be, and returns the frame
// that the first stopped at, counted by that output.
func (d *Deck) stop() (heard int64, err error) {
	a, b, ok := d.pair()
	if ok {
		var at int64
		if at, err = d.agree(a, b); err != nil {
			return 0, err
		}
		heard, err = a.HoldAt(at)
	} else {
		heard, err = d.out.Hold()
	}
	if err == nil {
		d.stopSecond(d.base + timebase.Frame(heard))
	}
	return heard, err
}

// stopSecond holds the second output at frame at, where the first has stopped.
func (d *Deck) stopSecond(at timebase.Frame) {
	s := d.second
	if s == nil || s.out == nil {
		return
	}
	timed, ok := s.out.(output.Timed)
	if !ok || d.cfg.Now == nil {
		d.followSecond(at)
		return
	}
	stopped, err := timed.HoldAt(int64(at - s.base))
	if !d.keepSecond(err) {
		return
	}
	s.rendered = s.base + timebase.Frame(stopped)
	if over := s.rendered - at; over > 0 {
		d.tellSecond(session.Data{Did: session.SecondOverran, Frames: int64(over)})
	} else if over < 0 {
		d.tellSecond(session.Data{Did: session.SecondShort, Frames: int64(-over)})
	}
}

// agree returns a frame, counted by the first output, at which both can hold.
func (d *Deck) agree(a, b output.Timed) (int64, error) {
	first, err := a.CanHold(0)
	if err != nil {
		return 0, err
	}
	between := int64(d.base - d.second.base)
	for at := first; ; {
		f, err := b.CanHold(at + between)
		if !d.keepSecond(err) || f-between <= at { // or it has no more
			return at, nil
		}
		next, err := a.CanHold(f - between)
		if err != nil {
			return 0, err
		}
		if next == at || next-first > int64(timebase.FrameAt(longestHold, d.plan.Rate)) {
			return first, nil
		}
		at = next
	}
}

// keepSecond reports whether the second output is still there; err is what came
// of the last thing asked of it.
func (d *Deck) keepSecond(err error) bool {
	s := d.second
	if s == nil || s.out == nil {
		return false
	}
	if err == nil {
		return true
	}
	s.out.Close()
	s.out, s.ahead, s.silent = nil, nil, false
	d.say(Alarm, "second output: "+d.tellSecond(session.Data{Did: session.SecondLost, Error: outputSaid(err)}))
	return false
}

// followSecond writes to the second output what the first has been heard to
// play, up to frame at.
func (d *Deck) followSecond(at timebase.Frame) {
	if s := d.second; s != nil && s.out != nil {
		d.keepSecond(s.render(at))
		d.sayBroken()
	}
}

// sayBroken tells once that its companion cannot be read.
func (d *Deck) sayBroken() {
	if s := d.second; s.broken != nil && !s.said {
		s.said = true
		d.tellUnreadable(s.Name, s.broken)
	}
}

// tellUnreadable tells that a companion cannot be read.
func (d *Deck) tellUnreadable(track string, err error) {
	d.say(Alarm, d.tell(show.ByNobody, session.KindSilent, session.Data{Track: track, Error: err.Error()}))
}
