package crew

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/crew"
)

// TestHoldByAnybody: whoever has joined, whatever as, calls HOLD, and everybody's
// machine shows it; nobody but the run resumes.
func TestHoldByAnybody(t *testing.T) {
	r := newRig(t, nil)
	var all []*Member
	for i, role := range []string{"safety", "spotter", "position:Quay", "listener", "trainer"} {
		all = append(all, r.join(fmt.Sprint("M", i), role))
	}
	r.run.do(show.Arm)
	r.run.do(show.Start)
	for i, m := range all {
		eventually(t, "all see it run", func() bool {
			return !slices.ContainsFunc(all, func(m *Member) bool { v := m.View(); return !v.Running() })
		})
		m.Hold("boat in\nthe line")
		eventually(t, "all see it held", func() bool {
			return !slices.ContainsFunc(all, func(m *Member) bool { return m.View().State.Hold != i+1 })
		})
		holds := r.run.called()
		by := show.ByCrew
		if i == len(all)-1 { // the trainer, whose HOLD is not the trainee's
			by = show.ByInstructor
		}
		if c := holds[len(holds)-1]; c.Member != fmt.Sprint("M", i) || c.Reason != "boat in the line" || c.By != by {
			t.Errorf("the run was told %+v", c)
		}
		r.run.do(show.Resume)
	}
}

// TestHoldRightAfterResume: a hold that comes before anybody has seen the run go on is
// another hold: an answer to the one before is none to it.
func TestHoldRightAfterResume(t *testing.T) {
	r := newRig(t, nil)
	ada := r.join("Ada", "safety")
	for _, a := range []show.Action{show.Arm, show.Start, show.Hold} {
		r.run.do(a)
	}
	for hold := 1; hold <= 5; hold++ {
		eventually(t, "it is numbered", func() bool { return ada.View().State.Hold == hold })
		ada.Do(crew.Acknowledge, Deed{})
		eventually(t, "it is answered", func() bool { return len(r.Board().Waits) == 0 && len(r.run.logged(crew.HasAnswered)) == hold })
		r.run.do(show.Resume)
		r.run.do(show.Hold)
		eventually(t, "the next is awaited", func() bool { return slices.Equal(r.Board().Waits, []string{"Ada"}) })
	}
}

// TestClocksAreNotSet: both ends count from a moment that carries a monotonic reading
// (package time), so that setting the computer's clock changes no time that is told.
func TestClocksAreNotSet(t *testing.T) {
	r := newRig(t, nil)
	m := r.join("Ada", "safety")
	for end, began := range map[string]time.Time{"the lead": r.began, "a member": m.began, "its view": m.View().Wall} {
		if !strings.Contains(began.String(), " m=") {
			t.Errorf("%s counts by the time of day: %v", end, began)
		}
	}
}

// TestAnswers: who has acknowledged a hold is told as such, and the others by name.
func TestAnswers(t *testing.T) {
	r := newRig(t, nil)
	ada, ben := r.join("Ada", "safety"), r.join("Ben", "position:Mole")
	r.run.do(show.Arm)
	r.run.do(show.Start)
	r.run.do(show.Hold)
	eventually(t, "both are awaited", func() bool { return slices.Equal(r.Board().Waits, []string{"Ada", "Ben"}) })
	eventually(t, "Ben's machine shows it", func() bool { return ben.View().State.Hold == 1 })
	ben.Do(crew.Acknowledge, Deed{})
	eventually(t, "Ada alone is awaited", func() bool { return slices.Equal(ada.View().State.Waits, []string{"Ada"}) })
	got := r.run.logged(crew.HasAnswered)
	if len(got) != 1 || got[0].Member != "Ben" || got[0].Hold != 1 || got[0].AfterNS <= 0 || got[0].When == nil || got[0].BoundNS <= 0 {
		t.Errorf("logged: %+v", got)
	}
	r.run.gate.StrikeOff("Ada")
	eventually(t, "nobody is awaited", func() bool { return len(r.Board().Waits) == 0 && len(r.run.logged(crew.WasStruckOff)) == 1 })
}

// TestRefusesResume: safety's word stands until it is taken back.
func TestRefusesResume(t *testing.T) {
	r := newRig(t, nil)
	ada, ben := r.join("Ada", "safety"), r.join("Ben", "spotter")
	ben.Do(crew.Object, Deed{Text: "no"})
	eventually(t, "Ben is told that it is not his", func() bool { return ben.View().Answer.Refused == errMayNot.Error() })
	ada.Do(crew.Object, Deed{Text: "somebody on the quay"})
	eventually(t, "the run is forbidden to go on", func() bool { return r.run.gate.Forbids() == "safety Ada refuses it: somebody on the quay" })
	eventually(t, "Ben sees it", func() bool { return strings.Contains(ben.View().State.Forbids, "quay") })
	ada.Do(crew.Allow, Deed{})
	eventually(t, "it may go on", func() bool { return r.run.gate.Forbids() == "" })
}

func TestOwnCuesOnly(t *testing.T) {
	r := newRig(t, nil)
	quay, spotter, listener := r.join("Q", "position:Quay"), r.join("S", "spotter"), r.join("L", "listener")
	eventually(t, "cues", func() bool { return len(quay.View().Cues.List) > 0 && len(spotter.View().Cues.List) > 0 })
	var own, all []string
	for _, c := range quay.View().Cues.List {
		own = append(own, c.ID)
	}
	for _, c := range spotter.View().Cues.List {
		all = append(all, c.ID)
	}
	if !slices.Equal(own, []string{"1", "3", "5"}) || len(all) != 6 || quay.View().Welcome.Cues != 3 {
		t.Errorf("the Quay sees %v, the spotter %v", own, all)
	}
	if v := listener.View(); len(v.Cues.List)+len(v.Crew)+len(v.Events) > 0 {
		t.Errorf("a listener is told of more than the run: %+v", v)
	}
}

// TestSays: a position says of its own cues, the spotter of all, what was commanded and
// nothing else; who said it goes to the run.
func TestSays(t *testing.T) {
	r := newRig(t, nil)
	quay, spotter := r.join("Ben", "position:Quay"), r.join("Sue", "spotter")
	r.run.do(show.Arm)
	r.run.do(show.Start)
	r.run.pass(4 * time.Second) // cues 1 to 3 light at 1.5, 2.5 and 3.5 s
	for i, c := range []struct {
		m       *Member
		deed    crew.Deed
		cue     string
		refused string
	}{
		{quay, crew.Missing, "3", ""},
		{quay, crew.Seen, "2", `found the cue "2"; wanted one that is yours`},
		{quay, crew.Seen, "5", "cannot say that of cue 5: it was not commanded: still loaded, treat as live"},
		{quay, crew.Seen, "99", `found the cue "99"`},
		{spotter, crew.Seen, "2", ""},
		{spotter, crew.Missing, "6", "cannot say that of cue 6"},
	} {
		n := c.m.View().Answers
		c.m.Do(c.deed, Deed{Cue: c.cue})
		eventually(t, "an answer", func() bool { return c.m.View().Answers > n })
		if got := c.m.View().Answer.Refused; (got == "") != (c.refused == "") || !strings.Contains(got, c.refused) {
			t.Errorf("%d: %s of cue %s: %q; wanted %q", i, c.deed, c.cue, got, c.refused)
		}
	}
	duds, seen := r.run.logged(crew.HasMissed), r.run.logged(crew.HasSeen)
	if len(duds) != 1 || len(seen) != 1 {
		t.Fatalf("%+v and %+v", duds, seen)
	}
	if d := duds[0]; d.Saw != show.DidNotGo || d.Cue != "3" || *d.Index != 2 || d.Member != "Ben" || d.Role != "position:Quay" {
		t.Errorf("%+v", d)
	}
	if d := seen[0]; d.Saw != show.SeenOrHeard || d.Cue != "2" || *d.Index != 1 || d.Member != "Sue" || d.Role != "spotter" {
		t.Errorf("%+v", d)
	}
}

// TestJoinErrors: what is told to somebody who cannot join.
func TestJoinErrors(t *testing.T) {
	r := newRig(t, nil)
	r.join("Ada", "safety")
	for _, c := range []struct {
		name   string
		change func(*Join)
		want   string
	}{
		{"twice under one name", func(j *Join) { j.Name = "ADA" }, "Ada is in the crew already, as safety"},
		{"no such position", func(j *Join) { j.Role.Position = "Pier" }, `no cue has the position "Pier"`},
		{"the code of another role", func(j *Join) { j.Role = crew.Role{Kind: crew.Safety} }, "found one for position; wanted one for safety"},
		{"no code", func(j *Join) { j.Code = "1234" }, "wanted one such as position-"},
		{"a wrong code", func(j *Join) { j.Code = "position-2222-2222" }, "the code is not one of this rehearsal's"},
		{"another machine", func(j *Join) { j.Address.Print = "2222-2222-2222-2222" }, "another machine answers there"},
		{"nobody there", func(j *Join) { j.Address.Host = "127.0.0.1:1" }, "no rehearsal answers there"},
	} {
		j := r.invite("Ben", "position:Quay")
		c.change(&j)
		m, err := Dial(t.Context(), j)
		if err == nil {
			m.Close()
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v; wanted %q", c.name, err, c.want)
		}
	}
	if j := r.invite("Ben", "position:Quay"); true {
		j.Address.Print = "2222-2222-2222-2222"
		if _, err := Dial(t.Context(), j); !errors.Is(err, errStrangeLead) {
			t.Errorf("%v", err)
		}
	}
	eventually(t, "the wrong code is shown", func() bool { return r.Board().Wrong == 1 && len(r.run.logged(crew.WrongCode)) == 1 })
}

// TestLeadDies: a lead that says nothing any more leaves every machine held within a
// second, at the last frame that it was told of.
func TestLeadDies(t *testing.T) {
	r := newRig(t, nil)
	silent := make(chan time.Time, 1)
	j := r.invite("Ben", "position:Quay")
	j.Silent = func() { silent <- time.Now() }
	m := r.dial(j)
	r.run.do(show.Arm)
	r.run.do(show.Start)
	eventually(t, "it runs", func() bool { v := m.View(); return v.Running() && v.Clocked })
	r.server.Shutdown() // no goodbye
	died := time.Now()
	at := <-silent
	v := m.View()
	if v.Running() || !v.Lost {
		t.Errorf("the machine is not held: %+v", v)
	}
	heard, _ := v.Heard()
	time.Sleep(20 * time.Millisecond)
	v = m.View()
	if again, _ := v.Heard(); again != heard {
		t.Errorf("a machine that is held goes on from %d to %d", heard, again)
	}
	t.Logf("silent %d ms after the lead died", at.Sub(died).Milliseconds())
}

// TestLostAndBack: a member that is lost holds the run and comes back without a key.
func TestLostAndBack(t *testing.T) {
	r := newRig(t, nil)
	m := r.join("Ben", "position:Quay")
	r.run.do(show.Arm)
	r.run.do(show.Start)
	eventually(t, "it runs", func() bool { v := m.View(); return v.Running() })
	g := r.door.guestOf(m.id)
	r.server.DisconnectClientByID(g.connection)
	eventually(t, "it is there again, by another connection", func() bool { return r.door.guestOf(m.id).connection != g.connection })
	eventually(t, "it sees the run", func() bool { v := m.View(); return v.Came && !v.Lost })
	if n := len(r.run.logged(crew.HasJoined)); n != 1 {
		t.Errorf("joined %d times", n)
	}
}

func (d *door) guestOf(id string) guest {
	d.mu.Lock()
	defer d.mu.Unlock()
	return *d.known[id]
}

// byRole holds for whom the show cannot go on without. The other tests go on: a machine
// that is busy enough may lose anybody for a moment.
func byRole(c *Config) { c.Lost = show.LostByRole }

// TestLostHolds: somebody lost whom the show cannot go on without is a hold that says
// who, and somebody else is not.
func TestLostHolds(t *testing.T) {
	for _, c := range []struct {
		role  string
		holds int
	}{{"safety", 1}, {"listener", 0}} {
		r := newRig(t, byRole)
		m := r.join("Ben", c.role)
		r.run.do(show.Arm)
		r.run.do(show.Start)
		m.conn.Close() // and it never comes back
		eventually(t, "lost", func() bool { return len(r.run.logged(crew.IsLost)) == 1 })
		holds := r.run.called()
		if len(holds) != c.holds || c.holds > 0 && (holds[0].Member != "Ben" || holds[0].Cause != show.CauseCrewLost) {
			t.Errorf("%s: the run was told %+v", c.role, holds)
		}
	}
}

// TestOneClock: a member's heard frame is the lead's, within the bound that is said.
func TestOneClock(t *testing.T) {
	r := newRig(t, nil)
	m := r.join("Ben", "listener")
	r.run.do(show.Arm)
	r.run.do(show.Start)
	eventually(t, "the clock is known", func() bool { v := m.View(); return v.Running() && v.Clocked && v.Clock.Bound < 20*time.Millisecond })
	before := time.Since(r.began)
	v := m.View()
	after := time.Since(r.began)
	if lead := v.Lead(); lead < before-v.Clock.Bound || lead > after+v.Clock.Bound {
		t.Errorf("the lead's clock is taken for %v, is %v to %v, within %v", lead, before, after, v.Clock.Bound)
	}
	m.Do(crew.Tap, Deed{})
	eventually(t, "the tap is logged", func() bool { l := r.run.logged(crew.HasTapped); return len(l) == 1 && *l[0].At > 0 })
}

func TestRenameAndLeave(t *testing.T) {
	r := newRig(t, nil)
	m := r.join("Ben", "spotter")
	m.Do(crew.Rename, Deed{Text: "Bob"})
	eventually(t, "renamed", func() bool { l := r.Board().Lines; return len(l) == 1 && l[0].Name == "Bob" })
	m.Close()
	m.Close()
	eventually(t, "gone", func() bool { return len(r.Board().Lines) == 0 && len(r.run.logged(crew.HasLeft)) == 1 })
	r.join("Bob", "listener")
}

// TestLostForbids: while somebody is lost whom the show cannot go on without it is not
// resumed, until they are back or struck off; a hold that somebody has not
// acknowledged is counted.
func TestLostForbids(t *testing.T) {
	r := newRig(t, byRole)
	m := r.join("Ada", "safety")
	r.run.do(show.Arm)
	r.run.do(show.Start)
	r.run.do(show.Hold)
	eventually(t, "one has not acknowledged", func() bool { return r.run.gate.Unheard() == 1 })
	m.conn.Close()
	eventually(t, "the run is forbidden to go on", func() bool { return r.run.gate.Forbids() == "nothing is heard of Ada (safety)" })
	if n := len(r.run.called()); n > 0 {
		t.Errorf("a run that stands was held %d times", n)
	}
	r.run.gate.StrikeOff("Ada")
	eventually(t, "it may go on", func() bool { return r.run.gate.Forbids() == "" && r.run.gate.Unheard() == 0 })
}

// TestHoldAfterResume: a HOLD that is called right after the shooter has resumed from
// the one before does not wait for anything.
func TestHoldAfterResume(t *testing.T) {
	r := newRig(t, nil)
	m := r.join("Ben", "spotter")
	r.run.do(show.Arm)
	r.run.do(show.Start)
	for i := range 5 {
		m.Hold("")
		eventually(t, "the run is told", func() bool { return len(r.run.called()) == i+1 })
		r.run.do(show.Resume)
	}
	time.Sleep(3 * holdAgain)
	if n := len(r.run.called()); n != 5 {
		t.Errorf("5 calls became %d holds", n)
	}
}
