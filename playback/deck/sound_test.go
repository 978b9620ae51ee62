package deck

import (
	"bytes"
	"context"
	"errors"
	"sync"
	"testing"
	"time"

	"drylane/playback"
	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
)

// give gives a command by hand at the frame heard.
func (r *rig) give(c show.Command) {
	r.act(show.ByShooter, show.ScriptAction{Command: c}, r.clock.Now(), r.t.Heard())
	r.step()
}

// hearUpTo plays the tape up to a frame, in steps as a device takes them.
func (r *rig) hearUpTo(frame int) {
	for tries := 0; len(r.out.heard) < frame && tries < frame; tries++ {
		r.out.hear(min(1000, frame-len(r.out.heard)))
		r.step()
	}
}

// bangs are the frames at which one was heard.
func (r *rig) bangs() (at []int) {
	for i, s := range r.out.heard {
		if s[1] != 0 {
			at = append(at, i)
		}
	}
	return at
}

// Three effects are lit at 1.0 s, before a hold at 1.5 s that lasts 2 s by the
// clock. The first was to break at 2.0 s of the music and so broke in the hold, when
// nothing sounds: it must not be heard behind it. The second, at 4.5 s, has burned
// on for those two seconds and breaks at 2.5 s of the music. The
// third, due at 1.2 s, broke before the hold.
func TestBrokeInTheHoldIsNotHeard(t *testing.T) {
	cues := []show.Cue{
		{ID: "in the hold", EffectAt: 2 * time.Second, Prefire: time.Second, Position: "A"},
		{ID: "after it", EffectAt: 4500 * time.Millisecond, Prefire: 3500 * time.Millisecond, Position: "A"},
		{ID: "before it", EffectAt: 1200 * time.Millisecond, Prefire: 200 * time.Millisecond, Position: "A"},
	}
	r := newRig(t, &ramp{length: 6 * rate, breaksAt: 1 << 40}, cues, "", true)
	r.tick = 0 // the clock goes on by hand
	r.give(show.Command{Action: show.Arm})
	r.give(show.Command{Action: show.Start})
	r.hearUpTo(3 * rate / 2)
	r.give(show.Command{Action: show.Hold, Reason: "test"})
	r.now = r.now.Add(2 * time.Second)
	r.command(show.Resume)
	r.hearUpTo(5 * rate)
	got := r.bangs()
	if len(got) != 2 || got[0] != 12*rate/10 || got[1] != 5*rate/2 {
		t.Errorf("bangs at %v, want %d and %d", got, 12*rate/10, 5*rate/2)
	}
}

// What stands rendered and unheard is never more than the guard, however much the
// device would take: up to there the transport has said what sounds. And it is the
// whole of the guard, so that the device has all there is.
func TestRendersUpToTheGuard(t *testing.T) {
	r := newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, list(15, 100*time.Millisecond), "", true)
	r.out.space = 5 * rate
	guard := int(timebase.FrameAt(show.DefaultGuard, rate))
	r.give(show.Command{Action: show.Arm})
	r.give(show.Command{Action: show.Start})
	for range 20 {
		if n := len(r.out.queue); n != guard {
			t.Fatalf("%d frames rendered ahead of %d heard, want the guard, %d", n, len(r.out.heard), guard)
		}
		r.out.hear(777)
		r.step()
	}
}

// The meter's sides are those of what is heard: music on the left, bangs on the
// right.
func TestMeterTellsSides(t *testing.T) {
	r := newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, list(1, time.Second), "", true)
	r.give(show.Command{Action: show.Arm})
	r.give(show.Command{Action: show.Start})
	for _, tt := range []struct {
		at    int
		right float64
	}{{rate / 2, 0}, {rate + 480, 1}, {2 * rate, 0}} {
		r.hearUpTo(tt.at)
		r.show()
		// The level is that of the last 30 ms, and of all that was rendered in one go with
		// any of them, at most a guard more on either side.
		level, slack := r.Snapshot().Level, 7200.0
		if level[1] != tt.right || level[0] < float64(tt.at)-slack || level[0] > float64(tt.at)+slack {
			t.Errorf("at frame %d the meter shows %v, want about %d and %v", tt.at, level, tt.at, tt.right)
		}
	}
}

// A diskCount knows how much of what was written has been synced.
type diskCount struct {
	mu              sync.Mutex
	buf             bytes.Buffer
	written, synced int
}

func (d *diskCount) Write(p []byte) (int, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.written += len(p)
	return d.buf.Write(p)
}

func (d *diskCount) sync() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.synced = d.written
	return nil
}

// When a run has ended, all of its log is synced.
func TestLogEndsSynced(t *testing.T) {
	var disk diskCount
	r := newRig(t, &ramp{length: 2 * rate, breaksAt: 1 << 40}, list(3, 500*time.Millisecond), "+0 arm\n+0 start\n", false)
	w, err := session.NewWriter(&disk, disk.sync, session.Header{})
	if err != nil {
		t.Fatal(err)
	}
	header := disk.written
	r.Deck.cfg.Log = w
	r.Deck = New(r.Deck.cfg)
	if err := r.Run(context.Background()); err != nil {
		t.Fatal(err)
	}
	disk.mu.Lock()
	defer disk.mu.Unlock()
	if disk.written == header || disk.synced != disk.written {
		t.Errorf("%d of %d bytes are synced, the header has %d", disk.synced, disk.written, header)
	}
}

// When a run has ended, both outputs are closed, once: a file among them is not whole
// before.
func TestOutputsAreClosed(t *testing.T) {
	r := newRig(t, &ramp{length: 2 * rate, breaksAt: 1 << 40}, list(3, 500*time.Millisecond), "+0 arm\n+0 start\n", false)
	second := &tape{space: 4800, all: true}
	r.cfg.Second = &SecondOutput{Companion: Companion{Name: "code.wav", Stream: &backwards{ramp{length: 2 * rate, breaksAt: 1 << 40}}}, Output: second,
		Reopen: func() (playback.Output, error) { return nil, errors.New("no such device") }}
	r.second = newSecond(r.cfg.Second, r.muteSides)
	if err := r.Run(context.Background()); err != nil {
		t.Fatal(err)
	}
	if r.out.closed != 1 || second.closed != 1 || len(second.heard) != 2*rate {
		t.Errorf("closed %d and %d times, %d frames on the second", r.out.closed, second.closed, len(second.heard))
	}
}
