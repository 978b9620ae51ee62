package deck

import (
	"context"
	"errors"
	"fmt"
	"math/rand"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
)

// timedTape is a tape that can be held and started where it is asked to. It
// stops at a multiple of grid, and no sooner than lead after what is heard.
type timedTape struct {
	tape
	grid, lead int64
	dumb       bool // it cannot say what sounds
	now        *time.Time
	startAt    time.Time
}

func (o *timedTape) Sounding(at time.Time) (int64, bool) {
	return int64(len(o.heard)) + int64(timebase.FrameAt(at.Sub(*o.now), rate)), o.playing && !o.dumb
}
func (o *timedTape) Soonest() (time.Time, error) {
	return o.now.Add(time.Duration(o.lead) * time.Microsecond), o.broken
}
func (o *timedTape) StartAt(at time.Time) error { o.startAt = at; return o.Start() }
func (o *timedTape) CanHold(frame int64) (int64, error) {
	f := max(int64(len(o.heard))+o.lead, frame)
	return min((f+o.grid-1)/o.grid*o.grid, int64(len(o.heard)+len(o.queue))), o.broken
}
func (o *timedTape) HoldAt(frame int64) (int64, error) {
	at, err := o.CanHold(frame)
	if err != nil {
		return 0, err
	}
	o.hear(int(at) - len(o.heard))
	return o.Hold()
}

// secondRig is a live rig with a second output that carries -i.
func secondRig(t *testing.T, first, second *timedTape) *rig {
	t.Helper()
	r := liveRig(t, func(c *Config) {
		c.Output = first
		c.Second = &SecondOutput{Companion: Companion{Name: "code.wav", Stream: &backwards{ramp{length: 10 * rate, breaksAt: 1 << 40}}}, Output: second,
			Reopen: func() (playback.Output, error) { return nil, errors.New("no such device") }}
	})
	r.Deck.out = first
	first.now, second.now = &r.now, &r.now
	return r
}

// TestSecondHoldsTogether: through twenty holds both outputs begin at one moment
// and stop at one frame, whatever each can do: none is lost, none doubled.
func TestSecondHoldsTogether(t *testing.T) {
	for _, c := range [][2]timedTape{
		{{grid: 1, lead: 900}, {grid: 1, lead: 900}},
		{{grid: 147, lead: 900}, {grid: 147, lead: 1500}},
		{{grid: 147, lead: 1500}, {grid: 21, lead: 300}},
		{{grid: 1, lead: 100}, {grid: 441, lead: 1200}},
	} {
		first, second := &c[0], &c[1]
		first.space, second.space = 4800, 9600
		r := secondRig(t, first, second)
		rng := rand.New(rand.NewSource(2))
		r.command(show.Arm)
		r.command(show.Start)
		for k := range 20 {
			if !first.startAt.Equal(second.startAt) {
				t.Fatalf("start %d: the outputs begin %v apart", k, second.startAt.Sub(first.startAt))
			}
			for range 1 + rng.Intn(5) {
				n := rng.Intn(900)
				first.hear(n)
				second.hear(n)
				r.step()
			}
			r.command(show.Hold)
			if a, b := len(first.heard), len(second.heard); a != b || a != int(r.t.Heard()) {
				t.Fatalf("hold %d: stopped at %d and %d, held at %d", k, a, b, r.t.Heard())
			}
			r.command(show.Resume)
		}
		for i := range first.heard {
			if a, b := first.heard[i][0], second.heard[i][0]; a != float64(i) || b != -float64(i) {
				t.Fatalf("frame %d: %v on the first, %v on the second", i, a, b)
			}
		}
	}
}

// TestSecondOverrun: a second output that cannot stop in time does not keep the
// show from its hold, and begins again where the first does.
func TestSecondOverrun(t *testing.T) {
	first, second := &timedTape{grid: 1, lead: 100}, &timedTape{grid: 1, lead: 4000}
	first.space, second.space = 4800, 9600
	r := secondRig(t, first, second)
	r.command(show.Arm)
	r.command(show.Start)
	first.hear(3000)
	second.hear(3000)
	r.command(show.Hold)
	if a, b := len(first.heard), len(second.heard); a != 3100 || b != 7000 {
		t.Errorf("stopped at %d and %d, want 3100 and 7000", a, b)
	}
	r.command(show.Resume)
	second.hear(1)
	if f := second.heard[7000][0]; f != -3100 {
		t.Errorf("the second goes on with frame %v, want 3100", -f)
	}
	wantTold(t, r, session.KindSecond, "code.wav went on for 3900 frames after the hold")
}

// wantTold looks for the words of an entry of a kind in the session.
func wantTold(t *testing.T, r *rig, kind, text string) {
	t.Helper()
	r.Deck.log.drain()
	told := ""
	for _, e := range entriesOf(t, r) {
		if e.Kind == kind {
			told += e.Words(rate, r.plan.Length) + "\n"
		}
	}
	if !strings.Contains(told, text) {
		t.Errorf("the session does not say %q of the %s:\n%s", text, kind, told)
	}
}

// TestSecondIsTriedAgain: a second output that was held to be put right, and
// could not be, is not left silent.
func TestSecondIsTriedAgain(t *testing.T) {
	first, second := &timedTape{grid: 1, lead: 480}, &timedTape{grid: 1, lead: 480}
	first.space, second.space = 4800, 9600
	r := secondRig(t, first, second)
	r.command(show.Arm)
	r.command(show.Start)
	first.hear(500)
	second.hear(500)
	r.step()
	first.dumb = true
	r.join(first, second)
	if second.playing {
		t.Fatal("the second plays on")
	}
	r.step()
	first.dumb, r.second.checked = false, time.Time{}
	r.step()
	if !second.playing || second.queue[0][0] > -500 {
		t.Errorf("the second plays: %v, from frame %v", second.playing, second.queue[0])
	}
}

// TestSecondLost: the show goes on, and a resume brings the output back if it
// is there.
func TestSecondLost(t *testing.T) {
	first, second := &timedTape{grid: 1, lead: 100}, &timedTape{grid: 1, lead: 100}
	first.space, second.space = 4800, 9600
	r := secondRig(t, first, second)
	r.command(show.Arm)
	r.command(show.Start)
	second.broken = fmt.Errorf("%w: cable pulled", playback.ErrDeviceGone)
	first.hear(1000)
	r.step()
	r.show()
	s := r.Snapshot()
	if r.t.State() != show.Running || !s.Second.Lost || s.Message.Urgency != Alarm || !strings.Contains(s.Message.Text, "code.wav is lost, the music goes on: cable pulled") {
		t.Errorf("%v, %+v, message %q", r.t.State(), s.Second, s.Message.Text)
	}
	wantTold(t, r, session.KindSecond, "cable pulled")
	r.command(show.Hold)
	r.command(show.Resume)
	if r.t.State() != show.Running || !strings.Contains(r.message.Text, "still lost: no such device") {
		t.Errorf("%v, message %q", r.t.State(), r.message.Text)
	}
	r.command(show.Hold)
	back := &timedTape{tape: tape{space: 9600}, grid: 1, lead: 100, now: first.now}
	r.second.Reopen = func() (playback.Output, error) { return back, nil }
	r.command(show.Resume)
	back.hear(1)
	if f := back.heard[0][0]; f != -float64(r.t.Heard()) {
		t.Errorf("it is back with frame %v, held at %d", -f, r.t.Heard())
	}
	// The first output goes away: the second stops with it.
	first.hear(500)
	back.hear(499)
	first.broken = playback.ErrDeviceGone
	r.step()
	if r.t.State() != show.Held || back.playing {
		t.Errorf("%v, the second plays: %v", r.t.State(), back.playing)
	}
}

// TestSecondFile: with no clock, and for an output that is no Timed one, the
// second gets exactly what was heard on the first.
func TestSecondFile(t *testing.T) {
	r := newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, list(19, 500*time.Millisecond), script, false)
	file := &tape{space: 1000, all: true}
	r.second = newSecond(&SecondOutput{Companion: Companion{Name: "code.wav", Stream: &backwards{ramp{length: 10 * rate, breaksAt: 1 << 40}}}, Output: file}, r.muteSides)
	if err := r.Run(context.Background()); err != nil {
		t.Fatal(err)
	}
	if a, b := len(r.out.heard), len(file.heard); a != b || a != 10*rate {
		t.Fatalf("%d frames on the first, %d in the file", a, b)
	}
	for i, f := range file.heard {
		if f[0] != -float64(i) {
			t.Fatalf("frame %d of the file is %v", i, f[0])
		}
	}
}
