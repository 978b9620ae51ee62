// Package earpiece plays at a joined machine what its person is to hear, in step with
// the lead: a listener's music, a position's calls, from that machine's own copy of
// the show and on its own sound device.
//
// The lead tells which frame sounds there and when (crew.State), its clock is carried
// over the network (show/crewclock), and the device tells what it plays when
// (output.Timed). Two moments are compared, one reckoning for all of it: where is the
// lead now, where is this device now. The difference bends the pace at which the copy
// is read by parts in a million, which nobody hears, so that clocks that run apart do
// not add up. Only where the two are far apart, as after a pause of this machine, is
// there a new start.
//
// A hold silences the device as soon as it is known of: at once where HOLD was called
// here, and else with the first word of the lead, which passes a HOLD of the crew on
// before the run itself has stopped. A start or a resume begins here at the very frame
// where it begins there if the word of it comes in time, and otherwise in the middle,
// in step, a few hundredths of a second later. Where nothing is heard of the lead the
// device falls silent with the rest of the machine (crew.View.Lost), and comes back
// with it.
package earpiece

import (
	"context"
	"math"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"drylane/playback"
	"drylane/playback/crew"
	"drylane/playback/resample"

	"github.com/faiface/beep"
)

// A Link is the way to the lead; crew.Member is one. View returns at once.
type Link interface{ View() crew.View }

// Setup is what an Earpiece works with.
type Setup struct {
	Link   Link
	Name   string            // of what it plays, for people
	Stream beep.StreamSeeker // at Rate, its frames are those of the music; the earpiece alone reads it
	Rate   int
	Calls  [2]string                       // the positions whose calls are on its left and its right; both empty for the music
	Output playback.Output                 // at Rate; the earpiece closes it
	Open   func() (playback.Output, error) // opens it again after it was lost
	Report func(words string)              // told what is new, from the loop, for a log; must not wait; nil for nobody
}

// A Status is how an earpiece stands.
type Status struct {
	Name      string        // of what it plays
	Output    string        // where
	Lost      string        // why the device is not there; empty while it is
	Broken    string        // why the copy cannot be read; empty while it can
	Plays     bool          // it sounds, or is about to
	Early     time.Duration // by how much it was before the lead when last measured; below 0: after it
	Bound     time.Duration // ... and how well the lead's clock was known
	Measured  bool          // it has been, since it began to sound
	Pace      float64       // frames of music for a frame of the device
	Underruns int
	Starts    int // how often it began to sound, resumes included
	Again     int // ... of them: since it was too far off
}

// An Earpiece plays. Make one with Start, end it with Close.
type Earpiece struct {
	Setup
	status atomic.Pointer[Status]
	cancel context.CancelFunc
	wg     sync.WaitGroup

	// What follows belongs to the loop.
	clock   func() time.Time
	out     playback.Output // nil after it was lost
	retry   time.Time
	vary    varying
	marks   marks
	written int64
	steer   steer
	pace    float64
	begun   time.Time     // when it last began
	sooner  time.Duration // by how much a device that does not tell has begun sooner than it said
	ramp    int           // frames left of the first fade-in
	mute    []string      // what nobody is to hear; see crew.State
	now     Status
	follow  follow
	gauge   gauge
	buf     [chunk][2]float64
}

// A varying reads the copy at a pace; resample.Varying is one.
type varying interface {
	MoveTo(at int64, part float64)
	At() (at int64, part float64)
	Read(dst [][2]float64, pace float64)
}

const (
	step    = 5 * time.Millisecond // how often it looks
	chunk   = 512                  // frames that are read in one go
	retried = time.Second          // between two tries to open a device that was lost
)

// Start begins to follow the lead.
func Start(s Setup) *Earpiece {
	e := newEarpiece(s, time.Now)
	ctx, cancel := context.WithCancel(context.Background())
	e.cancel = cancel
	e.wg.Go(func() { e.loop(ctx) })
	return e
}

// newEarpiece returns one whose loop does not run yet.
func newEarpiece(s Setup, clock func() time.Time) *Earpiece {
	e := &Earpiece{Setup: s, clock: clock, out: s.Output, pace: 1, ramp: s.Rate / 200}
	e.vary = resample.NewVarying(e.read)
	e.now = Status{Name: s.Name, Output: s.Output.Name(), Pace: 1}
	e.publish()
	return e
}

// Status returns how it stands. Safe to call from any goroutine.
func (e *Earpiece) Status() Status { return *e.status.Load() }

// Close falls silent and gives the device back. A second call does nothing.
func (e *Earpiece) Close() {
	e.cancel()
	e.wg.Wait()
}

func (e *Earpiece) publish() {
	s := e.now
	was := e.status.Swap(&s)
	if e.Report != nil && (was == nil || s.news() != was.news()) {
		e.Report(s.Words())
	}
}

func (e *Earpiece) loop(ctx context.Context) {
	t := time.NewTicker(step)
	defer t.Stop()
	defer func() {
		if e.out != nil {
			e.out.Close()
		}
	}()
	for {
		select {
		case <-ctx.Done():
			return
		case <-t.C:
		}
		e.tend()
		e.publish()
	}
}

// tend does what is due.
func (e *Earpiece) tend() {
	if e.out == nil && !e.reopen() {
		return
	}
	v := e.Link.View()
	e.mute = v.State.Mute
	wanted := e.follow.wants(&v)
	var err error
	switch {
	case wanted && !e.now.Plays:
		err = e.begin(&v)
	case !wanted && e.now.Plays:
		err = e.stop()
	case wanted:
		err = e.goOn(&v)
	default:
		_, err = e.out.Heard() // it tells whether the device is there
	}
	if err != nil {
		e.lose(err)
	}
}

// lose takes down that the device went away.
func (e *Earpiece) lose(err error) {
	e.out.Close()
	e.out, e.retry = nil, e.clock().Add(retried)
	e.now.Lost, e.now.Plays, e.now.Measured = err.Error(), false, false
}

// reopen tries to have the device back.
func (e *Earpiece) reopen() bool {
	if e.clock().Before(e.retry) {
		return false
	}
	out, err := e.Open()
	if err != nil {
		e.retry = e.clock().Add(retried)
		return false
	}
	e.out, e.written, e.marks, e.ramp = out, 0, nil, e.Rate/200
	e.now.Lost, e.now.Output = "", out.Name()
	return true
}

// fill writes as much as the output takes.
func (e *Earpiece) fill() error {
	for {
		n := min(e.out.Space(), chunk)
		if n <= 0 {
			return nil
		}
		at, part := e.vary.At()
		e.marks = e.marks.add(mark{e.written, float64(at) + part, e.pace}, e.written-int64(e.Rate))
		e.vary.Read(e.buf[:n], e.pace)
		e.silence(e.buf[:n])
		e.fadeIn(e.buf[:n])
		if err := e.out.Write(e.buf[:n]); err != nil {
			return err
		}
		e.written += int64(n)
	}
}

// silence takes away what a drill lets nobody hear.
func (e *Earpiece) silence(part [][2]float64) {
	for side, of := range e.Calls {
		if len(e.mute) > 0 && slices.Contains(e.mute, of) && (of != crew.MuteMusic || e.Calls == [2]string{}) {
			for i := range part {
				part[i][side] = 0
			}
		}
	}
}

// fadeIn lets the first frames of an output rise from nothing, as those after a hold
// do by themselves: it may begin in the middle of the music.
func (e *Earpiece) fadeIn(part [][2]float64) {
	whole := e.Rate / 200
	for i := range part[:min(e.ramp, len(part))] {
		g := 0.5 - 0.5*math.Cos(math.Pi*float64(whole-e.ramp)/float64(whole))
		part[i][0], part[i][1] = g*part[i][0], g*part[i][1]
		e.ramp--
	}
}

// read fills into with the frames of the copy from one on: silence before its
// beginning, after its end, and where it cannot be read.
func (e *Earpiece) read(into [][2]float64, from int64) {
	clear(into)
	if skip := min(int64(len(into)), max(0, -from)); skip > 0 {
		into, from = into[skip:], from+skip
	}
	into = into[:max(0, min(int64(len(into)), int64(e.Stream.Len())-from))]
	if len(into) > 0 && int64(e.Stream.Position()) != from {
		if err := e.Stream.Seek(int(from)); err != nil {
			e.now.Broken = err.Error()
			return
		}
	}
	for len(into) > 0 {
		n, ok := e.Stream.Stream(into)
		if !ok {
			if err := e.Stream.Err(); err != nil {
				e.now.Broken = err.Error()
			}
			return
		}
		into = into[n:]
	}
}
