package deck

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
	"testing/synctest"
	"time"
	"unsafe"

	"drylane/playback"
	"drylane/playback/output"
	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/show/timebase"
)

// clockSet is t as the system would have given it had the computer's clock been
// set ahead by whole seconds: another time of day, the same monotonic reading. It
// knows how package time lays a Time out, which TestClockSetIsTrue holds.
func clockSet(t time.Time, ahead time.Duration) time.Time {
	layout := (*struct {
		wall uint64 // a flag, 33 bits of seconds, 30 bits of nanoseconds
		ext  int64
		loc  *time.Location
	})(unsafe.Pointer(&t))
	layout.wall += uint64(ahead/time.Second) << 30
	return t
}

func TestClockSetIsTrue(t *testing.T) {
	now := time.Now()
	for _, ahead := range []time.Duration{time.Hour, -time.Hour, -20 * 365 * 24 * time.Hour} {
		set := clockSet(now, ahead)
		if set.Sub(now) != 0 || set.Unix()-now.Unix() != int64(ahead/time.Second) || set.Nanosecond() != now.Nanosecond() {
			t.Errorf("set ahead by %v: %v became %v, %v later", ahead, now, set, set.Sub(now))
		}
	}
}

// wallDrill is a director of which a step is due every two seconds by the clock.
type wallDrill struct {
	next time.Time
	n    int
}

func (w *wallDrill) Saw(k show.EventKind, now time.Time) {
	if w.next.IsZero() && k == show.EventStarted {
		w.next = now.Add(2 * time.Second)
	}
}
func (w *wallDrill) Due(v drill.View) (due []drill.Step) {
	for !w.next.IsZero() && !v.Now.Before(w.next) {
		w.next = w.next.Add(2 * time.Second)
		w.n++
		due = append(due, drill.Step{Name: fmt.Sprint(w.n), Do: drill.Radio, From: "spotter", Text: "all well"})
	}
	return due
}
func (w *wallDrill) Next() (timebase.Frame, time.Time) { return drill.Never, w.next }

// clockRun rehearses for most of a minute, with a second output, a count-in, a
// drill and keys whose stamps are as old as a slow link makes them; now and then
// the computer's clock is set, by as much as sets has. It starts at base, for the
// bubble's own time has no monotonic reading.
func clockRun(t *testing.T, base time.Time, sets []time.Duration) (log *session.Log) {
	synctest.Test(t, func(t *testing.T) {
		ahead, at := time.Duration(0), 0
		began, changed := time.Now(), time.Now()
		now := func() time.Time { // only ever asked by one goroutine at a time
			if time.Since(changed) > 1700*time.Millisecond && len(sets) > 0 {
				ahead, changed = ahead+sets[at%len(sets)], time.Now()
				at++
			}
			return clockSet(base.Add(time.Since(began)), ahead)
		}
		disk := &slowDisk{write: func() time.Duration { return 0 }, sync: func() time.Duration { return 0 }}
		cues := list(390, 100*time.Millisecond)
		plan := show.NewPlan(cues, show.Console{Guard: show.DefaultGuard, NudgeLimit: show.DefaultNudgeLimit, Together: show.DefaultTogether}, rate, 40*rate)
		h := session.Header{Began: ownEpoch, Soundtrack: session.Soundtrack{Rate: rate, Frames: 40 * rate}, GuardMS: 150, LimitMS: 10000, Together: &plan.Together, Cues: session.CuesOf(plan, cues)}
		w, err := session.NewWriter(disk, nil, h)
		if err != nil {
			t.Fatal(err)
		}
		silent := func() playback.Output { return output.Silent(output.Options{Rate: rate, Speed: 1}, now) }
		d := New(Config{Plan: plan, Cues: cues, Music: &ramp{length: 40 * rate, breaksAt: 1 << 40}, Output: silent(),
			Reopen: func() (playback.Output, error) { return silent(), nil },
			Second: &SecondOutput{Companion: Companion{Name: "code.wav", Stream: &backwards{ramp{length: 40 * rate, breaksAt: 1 << 40}}}, Output: silent()},
			Log:    w, LogCues: h.Cues, Now: now, Speed: 1, CountIn: 2 * time.Second, Director: &wallDrill{}})
		ctx, cancel := context.WithCancel(t.Context())
		done := make(chan error)
		go func() { done <- d.Run(ctx) }()
		rng := rand.New(rand.NewPCG(3, 4))
		press := func(a show.Action, step time.Duration) {
			time.Sleep(time.Duration(200+rng.IntN(900)) * time.Millisecond)
			synctest.Wait()
			d.Command(show.Command{Action: a, Step: step}, now().Add(-time.Duration(rng.IntN(60))*time.Millisecond))
		}
		press(show.Arm, 0)
		press(show.Start, 0)
		for range 9 {
			press(show.Nudge, 100*time.Millisecond)
			press(show.Hold, 0)
			press(show.Resume, 0)
			time.Sleep(2100 * time.Millisecond)
		}
		cancel()
		if err := <-done; err != nil {
			t.Fatal(err)
		}
		log = disk.read(t)
	})
	return log
}

// TestClockIsSet: when the computer's clock is set in the middle of a run, ahead or
// back, by seconds or by years, the same is heard and fired, and the log has the
// same times between the same entries.
func TestClockIsSet(t *testing.T) {
	base := time.Now()
	want := clockRun(t, base, nil)
	if tells(want).holds < 5 || tells(want).cues < 50 {
		t.Fatalf("little happens: %+v", tells(want))
	}
	for _, sets := range [][]time.Duration{{time.Hour}, {-time.Hour}, {2 * time.Second, -3 * time.Second, time.Second}, {20 * 365 * 24 * time.Hour, -30 * 365 * 24 * time.Hour}} {
		got := clockRun(t, base, sets)
		if len(got.Entries) != len(want.Entries) {
			t.Errorf("set by %v: %d entries, want %d", sets, len(got.Entries), len(want.Entries))
		}
		for i := range min(len(got.Entries), len(want.Entries)) {
			a, b := got.Entries[i], want.Entries[i]
			if a.Kind != b.Kind || a.Heard != b.Heard || a.Show != b.Show || a.Data.HeldNS != b.Data.HeldNS || !a.Wall.Equal(b.Wall) {
				t.Errorf("set by %v: entry %d is %s at %d, %v; want %s at %d, %v", sets, i, a.Kind, a.Heard, a.Wall, b.Kind, b.Heard, b.Wall)
				break
			}
		}
	}
}
