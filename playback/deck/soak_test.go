package deck

import (
	"context"
	"errors"
	"math/rand/v2"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"drylane/playback"
	"drylane/show"
	"drylane/show/session"
	"drylane/testdata/reftest"
)

// soak is a run that everything happens to.
type soak struct {
	*Deck
	t             *testing.T
	rng           *rand.Rand
	mu            sync.Mutex // of the outputs
	first, second *leaky
	away          [2]atomic.Bool // the outputs cannot be opened again
	done          map[string]int

	seen struct { // by the log's goroutine
		next, shows, fired, holds int
	}
}

// newSoak makes the run of a quarter of an hour of music with two cues a second,
// on two outputs and a slow disk.
func newSoak(t *testing.T) *soak {
	t.Helper()
	const length = 900 * soakRate
	s := &soak{t: t, rng: rand.New(rand.NewPCG(12, 30)), done: map[string]int{}}
	cues := list(1780, 500*time.Millisecond)
	plan := show.NewPlan(cues, show.Console{Guard: show.DefaultGuard, NudgeLimit: show.DefaultNudgeLimit, Together: show.DefaultTogether}, soakRate, length)
	h := session.Header{Soundtrack: session.Soundtrack{Rate: soakRate, Frames: length}, GuardMS: 150, LimitMS: 10000, Together: &plan.Together, Cues: session.CuesOf(plan, cues)}
	disk := &forgetful{slow: rand.New(rand.NewPCG(2, 2))}
	w, err := session.NewWriter(disk, disk.Sync, h)
	if err != nil {
		t.Fatal(err)
	}
	open := func(which int, sign float64, to **leaky) func() (playback.Output, error) {
		return func() (playback.Output, error) {
			if s.away[which].Load() {
				return nil, errors.New("no such device")
			}
			o := newLeaky(t, sign)
			s.mu.Lock()
			*to = o
			s.mu.Unlock()
			return o, nil
		}
	}
	one, two := open(0, 1, &s.first), open(1, -1, &s.second)
	first, _ := one()
	second, _ := two()
	s.Deck = New(Config{Plan: plan, Cues: cues, Music: &ramp{length: length, breaksAt: 1 << 40}, Output: first, Reopen: one,
		Second: &SecondOutput{Companion: Companion{Name: "code.wav", Stream: &backwards{ramp{length: length, breaksAt: 1 << 40}}}, Output: second, Reopen: two},
		Log:    w, LogCues: h.Cues, Now: time.Now, Speed: 1, CountIn: time.Second, OnEntry: s.logged})
	return s
}

// forgetful is a slow disk that keeps nothing.
type forgetful struct{ slow *rand.Rand }

func (f *forgetful) Write(p []byte) (int, error) {
	if f.slow.IntN(500) == 0 {
		time.Sleep(time.Duration(f.slow.IntN(2000)) * time.Millisecond)
	}
	return len(p), nil
}
func (f *forgetful) Sync() error { time.Sleep(30 * time.Millisecond); return nil }

// logged sees to it that each cue of each show fires once, in its turn.
func (s *soak) logged(e session.Entry) {
	switch e.Kind {
	case show.EventArmed.String():
		s.seen.next = 0
		s.seen.shows++
	case show.EventHeld.String():
		s.seen.holds++
	case show.EventFired.String(), show.EventSkipped.String():
		if *e.Data.Index != s.seen.next {
			s.t.Errorf("show %d: cue %d where %d belongs", s.seen.shows, *e.Data.Index, s.seen.next)
		}
		s.seen.next = *e.Data.Index + 1
		s.seen.fired++
	}
}

func (s *soak) do(a show.Action, c show.Command) {
	c.Action = a
	s.Command(c, time.Now())
}

// goOn brings a run that is not running a step nearer to it.
func (s *soak) goOn() {
	next := map[show.State]show.Action{show.Safe: show.Arm, show.Armed: show.Start, show.Held: show.Resume, show.Ended: show.Reset}
	if a, ok := next[s.Snapshot().Transport.State()]; ok {
		s.do(a, show.Command{})
	}
}

func (s *soak) outputs() (first, second *leaky) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.first, s.second
}

// happen lets something happen, and returns what.
func (s *soak) happen() string {
	first, second := s.outputs()
	later := func(do func()) { time.Sleep(time.Duration(s.rng.IntN(4000)) * time.Millisecond); do() }
	pulled := func(o *leaky, which int) {
		s.away[which].Store(true)
		o.pull()
		later(func() { s.away[which].Store(false) })
	}
	switch n := s.rng.IntN(100); {
	case n < 25:
		s.do(show.Hold, show.Command{})
		later(func() {})
		return "held"
	case n < 50:
		s.do(show.Nudge, show.Command{Step: time.Duration(s.rng.IntN(11)-5) * 100 * time.Millisecond})
		return "nudged"
	case n < 60:
		s.Do(show.ScriptAction{Kind: show.KindTap}, time.Now())
		return "tapped"
	case n < 65:
		s.do(show.StandDown, show.Command{Group: show.Group{By: show.LanesByPosition, Name: "A"}})
		later(func() { s.do(show.BringBack, show.Command{Group: show.Group{By: show.LanesByPosition, Name: "A"}}) })
		return "stood down"
	case n < 72:
		first.sleep(true)
		later(func() { first.sleep(false) })
		return "device asleep"
	case n < 79:
		second.sleep(true)
		later(func() { second.sleep(false) })
		return "second asleep"
	case n < 85:
		pulled(first, 0)
		return "device pulled"
	case n < 90:
		pulled(second, 1)
		return "second pulled"
	case n < 91:
		s.do(show.Cut, show.Command{})
		return "cut"
	}
	s.SetBangs([2]float64{s.rng.Float64(), 1})
	return "bangs"
}

// watch looks at the run as a screen does, on a terminal that stalls now and then.
func (s *soak) watch(ctx context.Context, rng *rand.Rand, stalls *int) {
	for ctx.Err() == nil {
		s.Snapshot()
		pause := time.Second / 30
		if rng.IntN(2000) == 0 {
			*stalls++
			pause = time.Duration(rng.IntN(20)) * time.Second
		}
		time.Sleep(pause)
	}
}

// TestSoak rehearses for hours of virtual time, on devices that fall asleep and are
// pulled out, while the terminal and the disk stall. Every frame is played once on
// each output, every cue fires once, and at the end nothing is held that was not at
// the start.
func TestSoak(t *testing.T) {
	length := reftest.Soak(t)
	synctest.Test(t, func(t *testing.T) {
		s := newSoak(t)
		ctx, cancel := context.WithCancel(t.Context())
		run := make(chan error)
		go func() { run <- s.Run(ctx) }()
		stalls := 0
		var others sync.WaitGroup
		others.Go(func() { s.watch(ctx, rand.New(rand.NewPCG(5, 6)), &stalls) })
		began := time.Now()
		census := reftest.NewCensus(t)
		for next := length / 10; time.Since(began) < length; {
			time.Sleep(time.Duration(s.rng.IntN(6000)) * time.Millisecond)
			if s.Snapshot().Transport.State() != show.Running {
				s.goOn()
				continue
			}
			s.done[s.happen()]++
			if passed := time.Since(began); passed >= next {
				census.Take(passed)
				next += length / 10
			}
		}
		census.Take(time.Since(began))
		cancel()
		others.Wait()
		if err := <-run; err != nil {
			t.Error(err)
		}
		census.Check()
		s.done["terminal stalled"] = stalls
		s.done["shows"], s.done["cues"], s.done["holds in the log"] = s.seen.shows, s.seen.fired, s.seen.holds
		reftest.Happened(t, s.done)
		if s.seen.fired < int(length/time.Second)/3 {
			t.Errorf("only %d cues fired in %v", s.seen.fired, length)
		}
	})
}
