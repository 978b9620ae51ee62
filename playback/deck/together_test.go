package deck

import (
	"errors"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
)

// dozingPair is a live rig on two outputs that can be put to sleep.
func dozingPair(t *testing.T) (r *rig, first, second *dozing) {
	t.Helper()
	second = newDozing(t, nil, true)
	r = liveRig(t, func(c *Config) {
		c.Second = &SecondOutput{Companion: Companion{Name: "code.wav", Stream: &backwards{ramp{length: 100 * rate, breaksAt: 1 << 40}}}, Output: second,
			Reopen: func() (playback.Output, error) { return nil, errors.New("no such device") }}
	})
	first = newDozing(t, &r.now, true)
	second.now = &r.now
	r.Deck.out = first
	return r, first, second
}

// ahead is by how much the second output is ahead of the first.
func (r *rig) ahead(first, second *dozing) time.Duration {
	a, _ := first.Sounding(r.now)
	b, _ := second.Sounding(r.now)
	return (r.second.base + timebase.Frame(b) - r.base - timebase.Frame(a)).At(rate)
}

// second tells in words what has been logged of the second output, but that it
// plays.
func (r *rig) secondTold(t *testing.T) (told []string) {
	t.Helper()
	r.Deck.log.drain()
	for _, e := range entriesOf(t, r) {
		if e.Kind == session.KindSecond && e.Data.Did != session.SecondPlays {
			told = append(told, e.Words(rate, r.plan.Length))
		}
	}
	return told
}

func wantAll(t *testing.T, got []string, want ...string) {
	t.Helper()
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("told:\n%s\nwant:\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// TestSecondPartedIsJoined: a second output that goes 3 ms ahead is put right,
// and that is told once it is.
func TestSecondPartedIsJoined(t *testing.T) {
	r, first, second := dozingPair(t)
	r.command(show.Arm)
	r.command(show.Start)
	r.play(time.Second)
	second.jump(3 * time.Millisecond)
	for range 2000 {
		if second.starts == 1 {
			r.step()
		}
	}
	wantAll(t, r.secondTold(t))
	r.play(time.Second)
	wantAll(t, r.secondTold(t), "code.wav was 3.0 ms early and has been put right")
	if off := r.ahead(first, second); off.Abs() > 100*time.Microsecond {
		t.Errorf("the second is %v ahead", off)
	}
}

// TestSecondStaysApart: an output that cannot be put right is not said to be: that
// it is still apart is told once, however often it is tried.
func TestSecondStaysApart(t *testing.T) {
	r, _, second := dozingPair(t)
	r.command(show.Arm)
	r.command(show.Start)
	r.play(time.Second)
	second.lies = 144
	r.play(8 * time.Second)
	wantAll(t, r.secondTold(t), "code.wav is still 3.0 ms early: putting it right has not helped yet")
	if second.starts < 3 {
		t.Errorf("it was tried %d times", second.starts-1)
	}
}

// TestSecondAsleep: when the device of the second output falls asleep the music
// goes on and it is told once; when it wakes it plays what the first plays.
func TestSecondAsleep(t *testing.T) {
	r, first, second := dozingPair(t)
	r.command(show.Arm)
	r.command(show.Start)
	r.play(3 * time.Second)
	second.sleep()
	r.play(4 * time.Second)
	wantAll(t, r.secondTold(t), "code.wav is silent, the music goes on: it is suspended")
	r.show()
	if s := r.Snapshot(); r.t.State() != show.Running || !s.Second.Silent || s.Message.Urgency != Alarm {
		t.Errorf("%v, %+v, message %q", r.t.State(), s.Second, s.Message.Text)
	}
	second.wake()
	r.play(100 * time.Millisecond)
	if off := r.ahead(first, second); off.Abs() > 100*time.Microsecond || r.second.silent {
		t.Errorf("0.1 s after it woke the second is %v ahead", off)
	}
	r.play(time.Second)
	wantAll(t, r.secondTold(t), "code.wav is silent, the music goes on: it is suspended", "code.wav is together with the music again")
}

// TestFirstAsleepBesideSecond: the music's own device falls asleep while another
// plays beside it: both stop, and the second is not put right against a device
// that stands still.
func TestFirstAsleepBesideSecond(t *testing.T) {
	r, first, second := dozingPair(t)
	r.command(show.Arm)
	r.command(show.Start)
	r.play(3 * time.Second)
	at := r.t.Heard()
	first.sleep()
	r.play(4 * time.Second)
	if r.t.State() != show.Held || r.t.Heard() > at+rate/100 || second.starts != 1 {
		t.Errorf("%v at %d, asleep from %d; the second was started %d times", r.t.State(), r.t.Heard(), at, second.starts)
	}
	if n := len(r.secondTold(t)); n != 1 { // that it overran the hold
		t.Errorf("%d entries of the second output: %q", n, r.secondTold(t))
	}
	first.wake()
	r.cfg.Reopen = func() (playback.Output, error) { return newDozing(t, &r.now, true), nil }
	at = r.t.Heard()
	r.command(show.Resume)
	r.play(time.Second)
	if off := r.ahead(r.Deck.out.(*dozing), second); r.t.State() != show.Running || r.t.Heard() < at+rate*9/10 || off.Abs() > time.Millisecond {
		t.Errorf("%v at %d after a resume at %d, the second %v ahead", r.t.State(), r.t.Heard(), at, off)
	}
}

// TestLongLinksAreNotSilent: what is heard seconds after it was played, on either
// output, is late, not silent: at every start and in between.
func TestLongLinksAreNotSilent(t *testing.T) {
	r, first, second := dozingPair(t)
	first.link, second.link = time.Second, 2*time.Second
	r.plan.Guard = timebase.FrameAt(1200*time.Millisecond, rate)
	r.command(show.Arm)
	r.command(show.Start)
	for range 3 {
		r.play(3 * time.Second)
		if r.t.State() != show.Running {
			t.Fatalf("%v: %s", r.t.State(), r.message.Text)
		}
		r.command(show.Hold)
		r.command(show.Resume)
	}
	wantAll(t, r.secondTold(t))
}

// TestParted: the outputs have parted where all measures say so, one way or the other.
func TestParted(t *testing.T) {
	for _, c := range []struct {
		ahead []timebase.Frame
		want  bool
	}{
		{[]timebase.Frame{50, 60, 51}, true}, {[]timebase.Frame{-50, -60, -51}, true},
		{[]timebase.Frame{50, 49}, false}, {[]timebase.Frame{-50, 60}, false}, {[]timebase.Frame{0}, false},
	} {
		if got := (&second{ahead: c.ahead}).parted(49); got != c.want {
			t.Errorf("%v: %v", c.ahead, got)
		}
	}
}
