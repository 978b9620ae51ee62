package earpiece

import (
	"math"
	"slices"
	"time"

	"drylane/playback/crew"
	"drylane/playback/output"
)

// makeReady is how long it may take to read the copy from a new place.
const makeReady = 20 * time.Millisecond

// begin lets the device sound, in step from the first frame on.
func (e *Earpiece) begin(v *crew.View) error {
	timed, ok := e.out.(output.Timed)
	when := e.clock().Add(e.out.Latency() - e.sooner)
	if ok {
		soonest, err := timed.Soonest()
		if err != nil {
			return err
		}
		when = soonest.Add(makeReady)
	}
	place, _ := v.SoundsAt(when)
	// On a whole frame, so that what needs no bending is left as it is.
	first := math.Ceil(e.follow.from(place, e.Rate))
	when = when.Add(time.Duration((first - place) / float64(e.Rate) * 1e9))
	e.vary.MoveTo(int64(first), 0)
	e.marks, e.pace = marks{}, 1-e.steer.drift
	if err := e.fill(); err != nil {
		return err
	}
	e.gauge.reset(e.out.Underruns())
	e.now.Plays, e.now.Measured = true, false
	e.now.Starts++
	e.begun = e.clock()
	if ok {
		return timed.StartAt(when)
	}
	return e.out.Start()
}

// stop silences the device at once.
func (e *Earpiece) stop() error {
	heard, err := e.out.Hold()
	e.written = heard
	e.now.Plays, e.now.Measured = false, false
	return err
}

// goOn keeps the device supplied, and in step.
func (e *Earpiece) goOn(v *crew.View) error {
	heard, err := e.out.Heard()
	if err != nil {
		return err
	}
	early, ok := e.early(v, heard)
	e.now.Underruns = e.out.Underruns()
	if e.gauge.add(early, ok, e.now.Underruns, farOff+v.Clock.Bound) {
		if e.judge(v.Clock.Bound) {
			return e.again(v)
		}
	}
	return e.fill()
}

// early is by how much the device is before the lead.
func (e *Earpiece) early(v *crew.View, heard int64) (time.Duration, bool) {
	now := e.clock()
	out, ok := heard, true
	if timed, is := e.out.(output.Timed); is {
		out, ok = timed.Sounding(now)
	}
	lead, known := v.SoundsAt(now)
	own := e.marks.at(out)
	if !ok || !known || math.IsNaN(own) || own < float64(e.marks[0].place) {
		return 0, false
	}
	return time.Duration((own - lead) / float64(e.Rate) * 1e9), true
}

// judge bends the pace by what was measured; true says that it is too far off for
// that.
func (e *Earpiece) judge(bound time.Duration) (again bool) {
	early := e.gauge.middle()
	e.now.Early, e.now.Bound, e.now.Measured = early, bound, true
	if early.Abs() > farOff+bound && e.clock().Sub(e.begun) > leastPlayed {
		return true
	}
	e.pace = e.steer.pace(early, e.gauge.span())
	e.now.Pace = e.pace
	e.gauge.clear()
	return false
}

// farOff is how far a device may be off, beyond what is not known of the lead's clock,
// before it starts anew: as after one of the two ran dry. Bending the pace would take
// seconds for it.
const farOff = 2 * time.Millisecond

// leastPlayed is how long it plays before it starts anew: it is heard.
const leastPlayed = 500 * time.Millisecond

// again starts anew where the lead is. A device that does not tell when its frames sound
// is taken to do it as it did this time.
func (e *Earpiece) again(v *crew.View) error {
	if _, ok := e.out.(output.Timed); !ok {
		e.sooner = max(-mostSooner, min(e.sooner+e.now.Early, mostSooner))
	}
	if err := e.stop(); err != nil {
		return err
	}
	e.now.Again++
	return e.begin(v)
}

// mostSooner is how far what a device says of its latency is corrected.
const mostSooner = time.Second

// A gauge gathers measures of how far a device is off. One alone is off by where the
// device is in its own steps; the middle of many is not.
type gauge struct {
	list []time.Duration
	dry  int
}

// measures are how many make a figure, a fifth of a second; where all of a few say that
// it is far off they are enough.
const (
	measures    = int(200 * time.Millisecond / step)
	fewMeasures = 10
)

func (g *gauge) reset(dry int) { g.list, g.dry = g.list[:0], dry }
func (g *gauge) clear()        { g.list = g.list[:0] }

// add takes a measure, unless it is no good one, and reports whether there are enough.
func (g *gauge) add(early time.Duration, good bool, dry int, far time.Duration) bool {
	if !good || dry != g.dry {
		g.reset(dry)
		return false
	}
	g.list = append(g.list, early)
	return len(g.list) >= measures || len(g.list) >= fewMeasures && (slices.Min(g.list) > far || slices.Max(g.list) < -far)
}

func (g *gauge) middle() time.Duration {
	return slices.Sorted(slices.Values(g.list))[len(g.list)/2]
}

// span is how long they took.
func (g *gauge) span() time.Duration { return time.Duration(len(g.list)) * step }
