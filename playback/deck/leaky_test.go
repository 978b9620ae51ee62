package deck

import (
	"sync"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/output"
)

// soakRate keeps a soak cheap: what it is after does not depend on the rate.
const soakRate = 8000

// leaky is an output to be soaked: it plays by the clock, can be put to sleep and
// pulled out at any moment by another goroutine, and sees to it that every frame
// comes once and in order: through every hold, unless it is one that is put right.
type leaky struct {
	t    *testing.T
	sign float64 // of the frames: 1 for the music, -1 for the second output's

	mu    sync.Mutex
	timed output.Timed
	slept time.Duration
	since time.Time // asleep since; zero while it is awake
	gone  bool
	next  float64 // frame that must come next; -1 for any
	first float64 // frame that the output counts as 0
}

func newLeaky(t *testing.T, sign float64) *leaky {
	o := &leaky{t: t, sign: sign, next: -1}
	o.timed = output.Silent(output.Options{Rate: soakRate, Speed: 1}, o.clock).(output.Timed)
	return o
}

// clock is the device's own.
func (o *leaky) clock() time.Time {
	if !o.since.IsZero() {
		return o.since.Add(-o.slept)
	}
	return time.Now().Add(-o.slept)
}

// sleep puts the device to sleep, or wakes it.
func (o *leaky) sleep(asleep bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	switch {
	case asleep && o.since.IsZero():
		o.since = time.Now()
	case !asleep && !o.since.IsZero():
		o.slept, o.since = o.slept+time.Since(o.since), time.Time{}
	}
}

func (o *leaky) pull() {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.gone = true
}

// at does something with the output, which fails once it has been pulled out.
func (o *leaky) at(do func() (int64, error)) (int64, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.gone {
		return 0, playback.ErrDeviceGone
	}
	return do()
}

// stopped is at for what ends with a frame that comes next.
func (o *leaky) stopped(do func() (int64, error)) (int64, error) {
	return o.at(func() (int64, error) {
		at, err := do()
		switch {
		case o.sign < 0:
			o.next = -1
		case o.next >= 0:
			o.next = o.first + float64(at)
		}
		return at, err
	})
}

func (o *leaky) Write(frames [][2]float64) error {
	_, err := o.at(func() (int64, error) {
		for _, f := range frames {
			at := f[0] * o.sign
			if at != o.next {
				if o.next >= 0 && at != 0 { // else it is the first, or the show begins anew
					o.t.Errorf("frame %v where %v belongs", at, o.next)
				}
				heard, _ := o.timed.Heard()
				o.first = at - float64(heard)
			}
			o.next = at + 1
		}
		return 0, o.timed.Write(frames)
	})
	return err
}

func (o *leaky) Suspended() bool { o.mu.Lock(); defer o.mu.Unlock(); return !o.since.IsZero() }
func (o *leaky) Space() (n int) {
	o.at(func() (int64, error) { n = o.timed.Space(); return 0, nil })
	return n
}
func (o *leaky) Start() error {
	_, err := o.at(func() (int64, error) { return 0, o.timed.Start() })
	return err
}
func (o *leaky) StartAt(at time.Time) error {
	_, err := o.at(func() (int64, error) { return 0, o.timed.StartAt(at.Add(-o.slept)) })
	return err
}
func (o *leaky) Soonest() (at time.Time, err error) {
	_, err = o.at(func() (int64, error) { at, err = o.timed.Soonest(); at = at.Add(o.slept); return 0, err })
	return at, err
}
func (o *leaky) Sounding(at time.Time) (f int64, ok bool) {
	o.at(func() (int64, error) { f, ok = o.timed.Sounding(at.Add(-o.slept)); return 0, nil })
	return f, ok
}
func (o *leaky) CanHold(f int64) (int64, error) {
	return o.at(func() (int64, error) { return o.timed.CanHold(f) })
}
func (o *leaky) Heard() (int64, error) { return o.at(o.timed.Heard) }
func (o *leaky) Hold() (int64, error)  { return o.stopped(o.timed.Hold) }
func (o *leaky) HoldAt(f int64) (int64, error) {
	return o.stopped(func() (int64, error) { return o.timed.HoldAt(f) })
}
func (o *leaky) Name() string           { return "a device" }
func (o *leaky) Latency() time.Duration { return o.timed.Latency() }
func (o *leaky) Underruns() int         { return o.timed.Underruns() }
func (o *leaky) Close() error           { o.mu.Lock(); defer o.mu.Unlock(); return o.timed.Close() }
