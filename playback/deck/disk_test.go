package deck

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"drylane/playback"
	"drylane/playback/output"
	"drylane/show"
	"drylane/show/session"
)

// slowDisk is a file of which writes and syncs take their time. A write has
// happened once it returns.
type slowDisk struct {
	write, sync func() time.Duration
	mu          sync.Mutex
	bytes       bytes.Buffer
}

func (f *slowDisk) Write(p []byte) (int, error) {
	time.Sleep(f.write())
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.bytes.Write(p)
}

func (f *slowDisk) Sync() error { time.Sleep(f.sync()); return nil }

// read reads what has been written so far.
func (f *slowDisk) read(t *testing.T) *session.Log {
	t.Helper()
	f.mu.Lock()
	log, err := session.Read(bytes.NewReader(f.bytes.Bytes()))
	f.mu.Unlock()
	if err != nil {
		t.Fatal(err)
	}
	return log
}

// diskRig is a live deck on the silent clock, in the time of synctest's bubble.
func diskRig(t *testing.T, disk *slowDisk) *Deck {
	t.Helper()
	music := &ramp{length: 60 * rate, breaksAt: 1 << 40}
	cues := list(590, 100*time.Millisecond)
	plan := show.NewPlan(cues, show.Console{Guard: show.DefaultGuard, NudgeLimit: show.DefaultNudgeLimit, Together: show.DefaultTogether}, rate, 60*rate)
	h := session.Header{Soundtrack: session.Soundtrack{Rate: rate, Frames: 60 * rate}, GuardMS: 150, LimitMS: 10000, Together: &plan.Together, Cues: session.CuesOf(plan, cues)}
	w, err := session.NewWriter(disk, disk.Sync, h)
	if err != nil {
		t.Fatal(err)
	}
	silent := func() playback.Output { return output.Silent(output.Options{Rate: rate, Speed: 1}, time.Now) }
	return New(Config{Plan: plan, Cues: cues, Music: music, Output: silent(), Reopen: func() (playback.Output, error) { return silent(), nil },
		Log: w, LogCues: h.Cues, Now: time.Now, Speed: 1})
}

// doings are what a screen tells, or a log: how often each thing was done.
type doings struct{ holds, resumes, cues, taps int }

// tells counts what a snapshot shows.
func (s *Snapshot) tells() (n doings) {
	t := &s.Transport
	n.holds, _ = t.Holds()
	n.resumes = n.holds
	if t.State() == show.Held {
		n.resumes--
	}
	n.cues, n.taps = t.Next(), len(s.Taps)
	return n
}

// tells counts what a log has.
func tells(log *session.Log) (n doings) {
	for _, e := range log.Entries {
		switch e.Kind {
		case show.EventHeld.String():
			n.holds++
		case show.EventResumed.String():
			n.resumes++
		case show.EventFired.String(), show.EventSkipped.String():
			n.cues++
		case session.KindTap:
			n.taps++
		}
	}
	return n
}

// pressAtRandom holds, resumes and taps until ctx ends.
func pressAtRandom(ctx context.Context, d *Deck, rng *rand.Rand) {
	d.Command(show.Command{Action: show.Arm}, time.Now())
	d.Command(show.Command{Action: show.Start}, time.Now())
	for ctx.Err() == nil {
		time.Sleep(time.Duration(rng.IntN(300_000)) * time.Microsecond)
		switch rng.IntN(3) {
		case 0:
			d.Command(show.Command{Action: show.Hold}, time.Now())
		case 1:
			d.Command(show.Command{Action: show.Resume}, time.Now())
		default:
			d.Do(show.ScriptAction{Kind: show.KindTap}, time.Now())
		}
	}
}

// TestShownIsWritten kills runs at random moments, on disks of which a sync takes
// up to seconds and a write now and then longer than anybody waits for: what the
// screen showed at that moment is in the file, unless the screen said that it was
// not; and that it says only when a write has taken longer than 100 ms.
func TestShownIsWritten(t *testing.T) {
	ms := func(n int) time.Duration { return time.Duration(n) * time.Millisecond }
	for _, c := range []struct {
		name         string
		write, stall time.Duration // at most; one write of ten stalls
		sync         time.Duration
	}{
		{"good", ms(0), 0, ms(1)},
		{"sync of 100 ms", ms(0), 0, ms(100)},
		{"sync of 1 s", ms(0), 0, ms(1000)},
		{"sync of 5 s", ms(2), 0, ms(5000)},
		{"write of 40 ms", ms(40), 0, ms(1000)},
		{"write that stalls", ms(2), ms(1500), ms(1000)},
	} {
		t.Run(c.name, func(t *testing.T) {
			kills, unwritten, shown := 40, 0, doings{}
			if testing.Short() {
				kills = 5
			}
			for k := range kills {
				synctest.Test(t, func(t *testing.T) {
					rng, looks := rand.New(rand.NewPCG(uint64(k), 13)), rand.New(rand.NewPCG(uint64(k), 15))
					slow := func(most time.Duration) time.Duration { return time.Duration(rng.Int64N(int64(most) + 1)) }
					disk := &slowDisk{sync: func() time.Duration { return c.sync }}
					disk.write = func() time.Duration { return slow(c.write) }
					d := diskRig(t, disk)
					disk.write = func() time.Duration {
						if rng.IntN(10) == 0 {
							return slow(max(c.write, c.stall))
						}
						return slow(c.write)
					}
					ctx, cancel := context.WithCancel(t.Context())
					done := make(chan error)
					go func() { done <- d.Run(ctx) }()
					var keys sync.WaitGroup
					keys.Go(func() { pressAtRandom(ctx, d, rand.New(rand.NewPCG(uint64(k), 14))) })
					for range 20 { // looks before the last, all of which must hold
						time.Sleep(ms(looks.IntN(200)))
						s := d.Snapshot()
						got, want := tells(disk.read(t)), s.tells()
						if s.Unwritten {
							unwritten++
						} else if got.holds < want.holds || got.resumes < want.resumes || got.cues < want.cues || got.taps < want.taps {
							t.Fatalf("killed while the screen shows %+v, the file has %+v", want, got)
						}
						// One snapshot may have waited, and the next may be waiting.
						if age := time.Since(s.Wall); age > 2*longestUnwritten+2*stepEvery {
							t.Fatalf("the screen shows what was %v ago", age)
						}
						shown = want
					}
					cancel()
					if err := <-done; err != nil {
						t.Fatal(err)
					}
					keys.Wait()
				})
			}
			if shown.cues == 0 {
				t.Error("nothing was shown")
			}
			if (unwritten > 0) != (c.stall > 0) {
				t.Errorf("%d looks of %d found the screen ahead of the file", unwritten, 20*kills)
			}
		})
	}
}

// TestDiskBehind: a sync that takes its time is told of, and holds up neither the
// next write nor the music.
func TestDiskBehind(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		disk := &slowDisk{write: func() time.Duration { return 0 }, sync: func() time.Duration { return 0 }}
		d := diskRig(t, disk)
		disk.sync = func() time.Duration { return 3 * time.Second }
		ctx, cancel := context.WithCancel(t.Context())
		done := make(chan error)
		go func() { done <- d.Run(ctx) }()
		d.Command(show.Command{Action: show.Arm}, time.Now())
		time.Sleep(2 * time.Second)
		d.Command(show.Command{Action: show.Start}, time.Now())
		time.Sleep(502 * time.Millisecond) // between two turns of the deck's loop
		synctest.Wait()
		s := d.Snapshot()
		if s.DiskBehind < 2490*time.Millisecond || s.DiskBehind > 2510*time.Millisecond || s.Unwritten || s.LogErr != nil {
			t.Errorf("2.5 s into a sync of 3 s the disk is said to be %v behind (unwritten: %v, %v)", s.DiskBehind, s.Unwritten, s.LogErr)
		}
		if n := tells(disk.read(t)).cues; n < 4 || s.Transport.Next() != n || s.Logged != int64(n)+2 {
			t.Errorf("%d cues in the file, %d fired, %d events logged", n, s.Transport.Next(), s.Logged)
		}
		cancel()
		if err := <-done; err != nil {
			t.Error(err)
		}
	})
}

// TestToldOnceWritten: what a full disk refused is told once there was room for it
// after all, in order, and not before.
func TestToldOnceWritten(t *testing.T) {
	disk, got := &fullDisk{}, ""
	w, err := session.NewWriter(disk, nil, session.Header{})
	if err != nil {
		t.Fatal(err)
	}
	l := startLog(w, func(e session.Entry) { got += fmt.Sprint(e.N, e.Kind, " ") }, func() {})
	for _, e := range []struct {
		kind string
		full bool
	}{{"a", false}, {"b", true}, {"c", true}, {"d", false}, {"e", false}} {
		disk.full = e.full
		l.put(session.Entry{Kind: e.kind})
		l.drain()
	}
	if err := l.close(); err != nil {
		t.Fatal(err)
	}
	if want := "1a 2b 3c 4d 5e "; got != want {
		t.Errorf("told of %s; want %s", got, want)
	}
}
