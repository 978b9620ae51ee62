package deck

import (
	"slices"
	"time"

	"drylane/playback/output"
	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
)

// tendSecond keeps the second output supplied and together with the first while
// the show runs.
func (d *Deck) tendSecond() {
	s := d.second
	if s == nil || s.out == nil || d.t.State() != show.Running {
		return
	}
	a, b, ok := d.pair()
	if !ok {
		d.followSecond(d.t.Heard())
		return
	}
	heard, err := b.Heard()
	if !d.keepSecond(err) || !d.keepSecond(s.render(forAll)) {
		return
	}
	d.sayBroken()
	now := d.clock.Now()
	woke := d.lookAtSecond(now, s.base+timebase.Frame(heard))
	if s.silent || d.still.standing() || s.still.standing() {
		s.ahead = s.ahead[:0]
		return
	}
	fa, okA := a.Sounding(now)
	fb, okB := b.Sounding(now)
	ahead := s.base + timebase.Frame(fb) - d.base - timebase.Frame(fa)
	good := okA && okB && d.base+timebase.Frame(fa) <= d.plan.Length
	since := now.Sub(s.checked)
	switch {
	case woke, okA && !okB && since > joinEvery/4: // it was to be put right, and could not be
		d.join(a, b)
	case d.measure(ahead, good, a.Underruns()+b.Underruns()):
		d.verifySecond()
		if s.off.Abs() > farApart && since > joinEvery || s.off.Abs() > wideApart && since > joinEvery/4 {
			d.join(a, b)
		}
	}
}

// lookAtSecond tells, once, that the device of the second output has fallen
// silent; woke says that it plays again. at is what has been heard of it. A device
// that comes and goes is told of again only once it has been put right.
func (d *Deck) lookAtSecond(now time.Time, at timebase.Frame) (woke bool) {
	s := d.second
	switch {
	case !s.silent:
		s.silent = s.still.look(now, at, s.rendered)
		if s.silent && !s.mending.fell {
			s.mending = mending{on: true, fell: true}
			d.say(Alarm, "second output: "+d.tellSecond(session.Data{Did: session.SecondSilent, Error: outputSaid(silent(s.out))}))
		}
	case at != s.still.at && !suspended(s.out):
		s.silent = false
		s.still.begin(now, at, 0)
		return true
	}
	return false
}

// measure takes one more measure of how far the second output is ahead, unless it
// is no good one; dry is how often the outputs have run dry. done says that
// there were enough of them to tell.
func (d *Deck) measure(ahead timebase.Frame, good bool, dry int) (done bool) {
	s := d.second
	if s.dry != dry || !good {
		s.dry, s.ahead = dry, s.ahead[:0]
		return false
	}
	s.ahead = append(s.ahead, ahead)
	wide := s.parted(timebase.FrameAt(wideApart, d.plan.Rate))
	if n := len(s.ahead); n < fewMeasures || n < measures && !wide {
		return false
	}
	s.off, s.ahead = slices.Sorted(slices.Values(s.ahead))[len(s.ahead)/2].At(d.plan.Rate), s.ahead[:0]
	return true
}

// The second output is put right when the middle of so many measures, one a
// step, says that it is further than farApart from the first, and no more often
// than joinEvery: it is heard. Clocks that go 100 ppm apart part by 1 ms in 10 s.
// Where one has stood still, and all of a few measures say so, it is sooner.
const (
	measures, fewMeasures = 51, 8
	farApart, wideApart   = time.Millisecond, 20 * time.Millisecond
	joinEvery             = 2 * time.Second
)

// parted reports whether all measures say that the outputs are so far apart.
func (s *second) parted(far timebase.Frame) bool {
	return slices.Min(s.ahead) > far || slices.Max(s.ahead) < -far
}

// A mending is the second output being put right: it counts as right once a
// measure says so.
type mending struct {
	on    bool
	fell  bool          // it had fallen silent, which has been told
	early time.Duration // what was to be put right; 0 where it had fallen silent
	told  bool          // that it has not helped yet
}

// verifySecond tells what has come of putting the second output right: that it
// is, or, once, that it is not.
func (d *Deck) verifySecond() {
	s := d.second
	switch m := &s.mending; {
	case !m.on:
	case s.off.Abs() <= farApart:
		d.tellSecond(session.Data{Did: session.SecondMended, EarlyNS: int64(m.early)})
		*m = mending{}
	case !m.told:
		m.told = true
		d.say(Alarm, "second output: "+d.tellSecond(session.Data{Did: session.SecondApart, EarlyNS: int64(s.off)}))
	}
}

// join makes the second output go on from where the first is: it holds a little
// ahead, with the short fade of a hold, and starts again at that place with what
// the first plays then.
func (d *Deck) join(a, b output.Timed) {
	s := d.second
	if !s.mending.on {
		s.mending = mending{on: true, early: s.off}
	}
	s.checked, s.ahead = d.clock.Now(), nil
	at, err := b.CanHold(0)
	if !d.keepSecond(err) {
		return
	}
	stopped, err := b.HoldAt(at + int64(timebase.FrameAt(20*time.Millisecond, d.plan.Rate)))
	if !d.keepSecond(err) {
		return
	}
	s.rendered = s.base + timebase.Frame(stopped)
	when, err := b.Soonest()
	if !d.keepSecond(err) {
		return
	}
	f, ok := a.Sounding(when)
	if !ok {
		return // it is tried again
	}
	// From a frame at which the first could hold, both can hold at one again.
	if g, err := a.CanHold(f); err == nil && g > f && g-f < chunk {
		when = when.Add(timebase.Frame(g - f).At(d.plan.Rate))
		f = g
	}
	s.wind(d.base + timebase.Frame(f))
	if d.keepSecond(s.render(forAll)) && d.keepSecond(b.StartAt(when)) {
		s.begins(d.clock.Now(), when, d.base+timebase.Frame(f))
	}
}
