package deck

import (
	"strings"
	"testing"
	"time"

	"drylane/show"
)

// TestFail: the run is held for the reason given, and nothing goes on after it.
func TestFail(t *testing.T) {
	const why = "the soundtrack's file changed while it was open"
	r := newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, list(15, 100*time.Millisecond), "", true)
	step := func() *Snapshot {
		t.Helper()
		if more, err := r.step(); !more || err != nil {
			t.Fatalf("the deck ended: %v", err)
		}
		r.show()
		return r.Snapshot()
	}
	do := func(a show.Action) *Snapshot {
		r.Command(show.Command{Action: a}, time.Now())
		return step()
	}
	do(show.Arm)
	do(show.Start)
	r.out.hear(3000)
	r.Fail(show.CauseFileChanged)
	r.Fail(show.CauseMusicEnded)
	if s := step(); s.Transport.State() != show.Held || !s.Trouble || s.Message.Text != "HELD: "+why || s.Message.Urgency != Alarm {
		t.Errorf("%v, trouble %v, said %q", s.Transport.State(), s.Trouble, s.Message.Text)
	}
	for _, a := range []show.Action{show.Resume, show.Cut, show.Reset, show.Arm, show.Start} {
		s := do(a)
		refused := strings.Contains(s.Message.Text, "cannot "+a.String()+": "+why)
		if want := a == show.Resume || a == show.Start; refused != want || s.Transport.State() == show.Running {
			t.Errorf("%v: %v, said %q", a, s.Transport.State(), s.Message.Text)
		}
		r.message = Message{}
	}
	if n := len(r.out.heard); n > 3000 {
		t.Errorf("%d frames heard, want no more than 3000", n)
	}
}

// TestFailBeforeTheStart: a run that has not begun does not.
func TestFailBeforeTheStart(t *testing.T) {
	r := newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, nil, "+0 arm\n+0 start\n", false)
	r.Fail(show.CauseFileChanged)
	if err := r.Run(t.Context()); err != nil {
		t.Fatal(err)
	}
	if s := r.Snapshot(); s.Refused != 1 || len(r.out.heard) != 0 || !strings.Contains(r.log.String(), "cannot start: the soundtrack's file changed") {
		t.Errorf("%d refused, %d frames heard, logged %s", s.Refused, len(r.out.heard), &r.log)
	}
}
