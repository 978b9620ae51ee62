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
	if _, err := b.Heard(); !d.keepSecond(err) || !d.keepSecond(s.render(forAll)) {
		return
	}
	d.sayBroken()
	now := time.Now()
	fa, okA := a.Sounding(now)
	fb, okB := b.Sounding(now)
	since := d.clock.Now().Sub(s.checked)
	if okA && !okB && since > joinEvery/4 { // it was to be put right, and could not be
		d.join(a, b)
		return
	}
	dry := s.dry
	if s.dry = a.Underruns() + b.Underruns(); s.dry != dry || !okA || !okB || d.base+timebase.Frame(fa) > d.plan.Length {
		s.ahead = s.ahead[:0]
		return
	}
	s.ahead = append(s.ahead, s.base+timebase.Frame(fb)-d.base-timebase.Frame(fa))
	wide := s.parted(timebase.FrameAt(wideApart, d.plan.Rate))
	if n := len(s.ahead); n < fewMeasures || n < measures && !wide {
		return
	}
	ahead := slices.Sorted(slices.Values(s.ahead))[len(s.ahead)/2]
	s.off, s.ahead = ahead.At(d.plan.Rate), s.ahead[:0]
	if s.off.Abs() > farApart && since > joinEvery || wide && since > joinEvery/4 {
		d.join(a, b)
	}
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

// join makes the second output go on from where the first is: it holds a little
// ahead, with the short fade of a hold, and starts again at that place with what
// the first plays then.
func (d *Deck) join(a, b output.Timed) {
	s := d.second
	s.checked = d.clock.Now()
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
		d.tellSecond(session.Data{Did: session.SecondMended, EarlyNS: int64(s.off)})
		s.off = 0
	}
}
