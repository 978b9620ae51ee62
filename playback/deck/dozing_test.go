package deck

import (
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/output"
	"drylane/show"
	"drylane/show/timebase"
)

// dozing is an output that plays by a test's clock and can be put to sleep: then
// it takes what it has room for and plays nothing.
type dozing struct {
	output.Timed
	played [][2]float64 // written, and not taken back
	now    *time.Time
	slept  time.Duration // by how much its clock is behind
	since  time.Time     // asleep since; zero while it is awake
	tells  bool          // that it is asleep
	lies   int64         // frames that it says it is ahead of what it is
	starts int
	link   time.Duration // how long what it plays takes to be heard, beyond all else
	held   int64         // where it was last held
}

func newDozing(t *testing.T, now *time.Time, tells bool) *dozing {
	t.Helper()
	o := &dozing{now: now, tells: tells}
	o.Timed = output.Silent(output.Options{Rate: rate, Speed: 1}, o.clock).(output.Timed)
	return o
}

// clock is the device's own.
func (o *dozing) clock() time.Time {
	if !o.since.IsZero() {
		return o.since.Add(-o.slept)
	}
	return o.now.Add(-o.slept)
}

func (o *dozing) sleep() { o.since = *o.now }
func (o *dozing) wake()  { o.slept, o.since = o.slept+o.now.Sub(o.since), time.Time{} }

// jump lets the device go ahead by d at once.
func (o *dozing) jump(d time.Duration) { o.slept -= d }

func (o *dozing) Suspended() bool { return o.tells && !o.since.IsZero() }
func (o *dozing) Soonest() (time.Time, error) {
	at, err := o.Timed.Soonest()
	return at.Add(o.slept), err
}
func (o *dozing) StartAt(at time.Time) error {
	o.starts++
	return o.Timed.StartAt(at.Add(-o.slept))
}
func (o *dozing) Sounding(at time.Time) (int64, bool) {
	f, ok := o.Timed.Sounding(at.Add(-o.slept))
	return f + o.lies, ok
}
func (o *dozing) Write(f [][2]float64) error {
	o.played = append(o.played, f...)
	return o.Timed.Write(f)
}
func (o *dozing) Latency() time.Duration { return o.Timed.Latency() + o.link }
func (o *dozing) Heard() (int64, error) {
	n, err := o.Timed.Heard()
	return max(o.held, n-int64(timebase.FrameAt(o.link, rate))), err
}
func (o *dozing) stopped(at int64, err error) (int64, error) {
	o.played, o.held = o.played[:at], at
	return at, err
}
func (o *dozing) Hold() (int64, error)              { return o.stopped(o.Timed.Hold()) }
func (o *dozing) HoldAt(frame int64) (int64, error) { return o.stopped(o.Timed.HoldAt(frame)) }

// heard is what it has played so far.
func (o *dozing) heard() [][2]float64 {
	n, err := o.Heard()
	if err != nil { // closed
		n = int64(len(o.played))
	}
	return o.played[:n]
}

// Close drops what has not been heard.
func (o *dozing) Close() error {
	o.played = o.heard()
	return o.Timed.Close()
}

var _ playback.Suspendable = (*dozing)(nil)

// play lets a live rig run for d, or until it no longer runs; it returns for how
// long it did.
func (r *rig) play(d time.Duration) time.Duration {
	begin := r.now
	for r.now.Sub(begin) < d && r.t.State() == show.Running {
		r.step()
	}
	return r.now.Sub(begin)
}
