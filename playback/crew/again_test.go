package crew

import (
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/crew"
)

// TestRenamedEverywhere: who renames knows their new name themselves, is awaited under it,
// and keeps it over a lost link.
func TestRenamedEverywhere(t *testing.T) {
	r := newRig(t, nil)
	p := newProxy(t, r.host(), func() time.Duration { return 0 })
	m := r.dial(r.through(p, "Ben", "spotter"))
	m.Do(crew.Rename, Deed{Text: "Bob"})
	eventually(t, "the own machine knows", func() bool { return m.View().Welcome.Name == "Bob" })
	for _, a := range []show.Action{show.Arm, show.Start, show.Hold} {
		r.run.do(a)
	}
	eventually(t, "Bob is awaited", func() bool { return slices.Equal(m.View().State.Waits, []string{"Bob"}) })
	g := r.door.guestOf(m.id)
	p.sever(false)
	eventually(t, "it is there again, by another connection", func() bool { return r.door.guestOf(m.id).connection != g.connection })
	m.Do(crew.Note, Deed{Text: "here"})
	eventually(t, "what is said is Bob's", func() bool { l := r.run.logged(crew.HasNoted); return len(l) == 1 && l[0].Member == "Bob" })
	if n := len(r.run.logged(crew.HasRenamed)); n != 1 {
		t.Errorf("renamed %d times", n)
	}
}

// TestStartedAnew: somebody whose machine had to be started anew comes back under their
// name once it was struck off; should the old one come back, it is told that it is out.
func TestStartedAnew(t *testing.T) {
	r := newRig(t, nil)
	p := newProxy(t, r.host(), func() time.Duration { return 0 })
	old := r.dial(r.through(p, "Ben", "position:Quay"))
	p.sever(true)
	eventually(t, "lost", func() bool { return len(r.run.logged(crew.IsLost)) == 1 })
	again := r.invite("Ben", "position:Quay")
	if _, err := Dial(t.Context(), again); err == nil || !strings.Contains(err.Error(), "the shooter to strike Ben off first") {
		t.Errorf("while lost: %v", err)
	}
	if l := r.run.logged(crew.WasRefused); len(l) != 1 || l[0].Member != "Ben" {
		t.Errorf("logged: %+v", l)
	}
	r.run.gate.StrikeOff("Ben")
	eventually(t, "struck off", func() bool { return len(r.run.logged(crew.WasStruckOff)) == 1 })
	ben := r.dial(again)
	p.sever(false)
	eventually(t, "the old one is told", func() bool { return strings.HasPrefix(old.View().Out, "Ben is in the crew already") })
	r.run.do(show.Arm)
	r.run.do(show.Start)
	old.Hold("")
	eventually(t, "its HOLD is refused", func() bool { return old.View().Answer.Refused == errOut.Error() })
	if n := len(r.run.called()); n != 0 {
		t.Errorf("the run was told of %d holds", n)
	}
	if name := old.View().Welcome.Name; name != "Ben" {
		t.Errorf("it was %q", name)
	}
	ben.Hold("")
	eventually(t, "the new one's is taken", func() bool { return len(r.run.called()) == 1 })
}

// TestAnswerByTheSharedClock: how fast somebody acknowledged is from when they did, by the
// lead's clock, not from when the word of it came.
func TestAnswerByTheSharedClock(t *testing.T) {
	r := newRig(t, nil)
	slow := func() time.Duration { return 100 * time.Millisecond }
	p := newProxy(t, r.host(), slow)
	m := r.dial(r.through(p, "Ben", "spotter"))
	eventually(t, "the clock is known", func() bool { return m.View().Clocked })
	for _, a := range []show.Action{show.Arm, show.Start, show.Hold} {
		r.run.do(a)
	}
	eventually(t, "it is shown", func() bool { return m.View().State.Hold == 1 })
	m.Do(crew.Acknowledge, Deed{})
	eventually(t, "it is logged", func() bool { return len(r.run.logged(crew.HasAnswered)) == 1 })
	d := r.run.logged(crew.HasAnswered)[0]
	called := r.run.Snapshot().Since
	if want := d.When.Sub(called); (time.Duration(d.AfterNS)-want).Abs() > time.Microsecond || d.BoundNS < int64(slow()) {
		t.Errorf("after %v within %v, want %v", time.Duration(d.AfterNS), time.Duration(d.BoundNS), want)
	}
	if done(message{at: time.Second}, Deed{At: 2 * time.Second}) != time.Second || done(message{at: time.Second}, Deed{}) != time.Second {
		t.Error("something was done after the word of it came")
	}
}

// host is where the rig listens.
func (r *rig) host() string {
	r.t.Helper()
	a, err := ParseAddress(r.Invitation().Address)
	if err != nil {
		r.t.Fatal(err)
	}
	return a.Host
}
