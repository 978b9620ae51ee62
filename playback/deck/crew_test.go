package deck

import (
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/crew"
	"drylane/show/session"
)

// crewRig is a live deck that runs, whose crew refuses what why says.
func crewRig(t *testing.T, countIn time.Duration, why *string) (r *rig, now *time.Time) {
	r, now = stopsRig(t, countIn)
	r.cfg.Forbids = func() string { return *why }
	for _, a := range []show.Action{show.Arm, show.Start} {
		r.Command(show.Command{Action: a}, *now)
		r.step()
		*now = now.Add(10 * time.Millisecond)
	}
	r.out.hear(480)
	r.step()
	return r, now
}

// TestCallHold: a member's HOLD is one like any other, and the log and the console
// say whose it is and why; nothing asked for before it takes effect after it.
func TestCallHold(t *testing.T) {
	var why string
	r, now := crewRig(t, 0, &why)
	r.CallHold(show.ByCrew, "Ben", "boat in the line", show.NoCause, *now)
	r.step()
	r.Deck.log.drain()
	if r.message.Text != "HELD: Ben: boat in the line" || r.message.Urgency != Alarm {
		t.Errorf("said %q", r.message.Text)
	}
	e := entriesOf(t, r)
	held := e[len(e)-1]
	if held.By != show.ByCrew || held.Data.Member != "Ben" || held.Words(rate, 10*rate) != "Ben: boat in the line" {
		t.Errorf("held by %q, %+v: %q", held.By, held.Data, held.Words(rate, 10*rate))
	}
	// A resume that was asked for before another HOLD came in is lost.
	r.Command(show.Command{Action: show.Resume, Anyway: true}, now.Add(time.Millisecond))
	r.CallHold(show.ByCrew, "Ada", "", show.NoCause, now.Add(2*time.Millisecond))
	*now = now.Add(3 * time.Millisecond)
	r.step()
	if got := told(t, r); !strings.HasSuffix(got, "overruled not resume") || r.t.State() != show.Held {
		t.Errorf("log: %s", got)
	}
}

// TestCrewLost: a hold for somebody of whom nothing is heard is the engine's, with
// its cause and who.
func TestCrewLost(t *testing.T) {
	var why string
	r, now := crewRig(t, 0, &why)
	r.CallHold(show.ByEngine, "Ada", "", show.CauseCrewLost, *now)
	r.step()
	r.Deck.log.drain()
	e := entriesOf(t, r)
	held := e[len(e)-1]
	if held.By != show.ByEngine || held.Data.Cause != show.CauseCrewLost || held.Words(rate, 10*rate) != "nothing is heard of Ada" {
		t.Errorf("%q, %+v", held.By, held.Data)
	}
	if r.message.Text != "HELD: nothing is heard of Ada" {
		t.Errorf("said %q", r.message.Text)
	}
}

// TestHoldWhereNothingRuns: a HOLD of the crew where nothing runs changes nothing, and the
// shooter is told who called it, and the log why.
func TestHoldWhereNothingRuns(t *testing.T) {
	var why string
	r, now := crewRig(t, 0, &why)
	r.Command(show.Command{Action: show.Cut}, *now)
	r.step()
	*now = now.Add(time.Second)
	r.CallHold(show.ByCrew, "Ben", "boat in the line", show.NoCause, *now)
	r.step()
	r.Deck.log.drain()
	e := entriesOf(t, r)
	if d := e[len(e)-1]; d.Kind != session.KindRefused || d.By != show.ByCrew || d.Data.Member != "Ben" || d.Data.Reason != "boat in the line" {
		t.Errorf("%+v", d)
	}
	if want := "Ben called HOLD; cannot hold: the show is safe"; r.message.Text != want {
		t.Errorf("said %q, want %q", r.message.Text, want)
	}
}

// TestForbidden: while somebody of the crew refuses it the run is neither started nor
// resumed, nor does a count-in that runs end in a resume.
func TestForbidden(t *testing.T) {
	var why string
	r, now := crewRig(t, time.Second, &why)
	r.Command(show.Command{Action: show.Hold}, *now)
	r.step()
	resume := func() {
		*now = now.Add(time.Second)
		r.Command(show.Command{Action: show.Resume, Anyway: true}, *now)
		r.step()
	}
	why = "safety Ada refuses it: boat"
	resume()
	if got := told(t, r); !strings.HasSuffix(got, "crew refuses not resume") || r.count.on() {
		t.Errorf("log: %s", got)
	}
	if r.message.Text != "cannot resume: safety Ada refuses it: boat" {
		t.Errorf("said %q", r.message.Text)
	}
	why = ""
	resume()
	if !r.count.on() {
		t.Fatal("no count-in began")
	}
	why = "safety Ada refuses it: boat"
	*now = now.Add(1100 * time.Millisecond)
	r.step()
	if r.t.State() != show.Held {
		t.Error("a count-in resumed what was refused meanwhile")
	}
	why = ""
	resume()
	*now = now.Add(1100 * time.Millisecond)
	r.step()
	if r.t.State() != show.Running {
		t.Error("what is allowed does not resume")
	}
}

// TestLogCrew: what happens in the crew is in the log, and replays.
func TestLogCrew(t *testing.T) {
	var why string
	r, _ := crewRig(t, 0, &why)
	r.LogCrew(session.Data{Member: "Ben", Role: "position:A", Crew: crew.HasJoined})
	off := ""
	r.cfg.StrikeOff = func(name string) { off = name }
	r.Do(show.ScriptAction{Kind: show.KindStrike, Text: "Ben"}, time.Time{})
	r.step()
	r.cfg.StrikeOff = nil
	r.Do(show.ScriptAction{Kind: show.KindStrike, Text: "Ben"}, time.Time{})
	r.step()
	r.Deck.log.drain()
	e := entriesOf(t, r)
	if got := e[len(e)-2]; got.Kind != session.KindCrew || got.By != show.ByCrew || got.Words(rate, 10*rate) != "Ben (A) joined" {
		t.Errorf("%+v: %q", got, got.Words(rate, 10*rate))
	}
	if off != "Ben" || e[len(e)-1].Kind != session.KindRefused {
		t.Errorf("struck off %q, and then %+v", off, e[len(e)-1])
	}
}

// TestCrewSays: what a member saw of a cue is taken down once, with who said it, and of
// what was not commanded nothing is; why the run is held stays on the console.
func TestCrewSays(t *testing.T) {
	var why string
	r, now := crewRig(t, 0, &why)
	say := func(saw show.Saw, i int) {
		r.LogCrew(session.Data{Member: "Ben", Role: "position:A", Crew: crew.HasMissed, Saw: saw, Cue: r.cfg.LogCues[i].ID, Index: &i})
		r.step()
	}
	say(show.DidNotGo, 0)
	if r.Commanded(0) || r.seen.said.Of(0) != show.NobodySaid {
		t.Fatal("a cue that was not commanded is spoken of")
	}
	for !r.Commanded(0) {
		r.out.hear(480)
		r.step()
	}
	r.CallHold(show.ByCrew, "Ben", "boat", show.NoCause, *now)
	r.step()
	say(show.DidNotGo, 0)
	say(show.DidNotGo, 0)
	r.Deck.log.drain()
	var got []string
	for _, e := range entriesOf(t, r) {
		if e.Kind == session.KindSaid || e.Kind == session.KindRefused {
			got = append(got, string(e.By)+" "+e.Data.Cue+" "+e.Words(rate, 10*rate))
		}
	}
	first := r.cfg.LogCues[0].ID
	want := []string{"crew  cannot say that of cue " + first + ": it was not commanded: still loaded, treat as live", "crew " + first + " did not go, by Ben (A)"}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	if s := r.seen.said; !slices.Equal(s.Who(0, show.DidNotGo), []string{"Ben (A)"}) || r.message.Text != "HELD: Ben: boat" {
		t.Errorf("%q say so; the console says %q", s.Who(0, show.DidNotGo), r.message.Text)
	}
}

// TestSaidAtTheConsole: what cannot be said of a cue is refused, told, and logged as asked.
func TestSaidAtTheConsole(t *testing.T) {
	var why string
	r, now := crewRig(t, 0, &why)
	last := len(r.cfg.LogCues) - 1
	r.Do(show.ScriptAction{Kind: show.KindSaw, Saw: show.DidNotGo, Text: r.cfg.LogCues[last].ID}, *now)
	r.step()
	r.Deck.log.drain()
	e := entriesOf(t, r)
	if d := e[len(e)-1]; d.Kind != session.KindRefused || d.Data.Asked != "say" || d.Data.Text != r.message.Text || !strings.HasSuffix(d.Data.Text, "it was not commanded: still loaded, treat as live") {
		t.Errorf("%+v; told %q", d, r.message.Text)
	}
}

// resumesTwice holds and asks for the resume, which is done at the second time alone, and
// returns why it was not at the first.
func resumesTwice(t *testing.T, r *rig, now *time.Time) (why string) {
	t.Helper()
	r.Command(show.Command{Action: show.Hold}, *now)
	r.step()
	for i, want := range []show.State{show.Held, show.Running} {
		*now = now.Add(time.Second)
		r.Command(show.Command{Action: show.Resume}, *now)
		r.step()
		if got := r.t.State(); got != want {
			t.Errorf("asked %d times the run is %s; wanted %s", i+1, got, want)
		}
		if i == 0 {
			why = r.picture().Again.Why
		}
	}
	return why
}

// TestUnheard: a resume while somebody of the crew has not acknowledged the hold must
// be asked for twice, and the log says how many had not.
func TestUnheard(t *testing.T) {
	var why string
	r, now := crewRig(t, 0, &why)
	r.cfg.Unheard = func() int { return 2 }
	resumesTwice(t, r, now)
	r.Deck.log.drain()
	e := entriesOf(t, r)
	if got := e[len(e)-1]; got.Kind != "resumed" || got.Data.Unheard != 2 || got.Words(rate, 10*rate) != "2 of the crew not heard from" {
		t.Errorf("%+v: %q", got, got.Words(rate, 10*rate))
	}
}

// TestWhyHeld: who called for a hold and why is known until the resume, whatever is said or
// called for meanwhile; and a hold that nobody of the crew called has its reason, too.
func TestWhyHeld(t *testing.T) {
	why := ""
	r, now := crewRig(t, 0, &why)
	r.CallHold(show.ByCrew, "Sam", "boat in the line", show.NoCause, *now)
	r.step()
	r.CallHold(show.ByCrew, "Ada", "", show.NoCause, now.Add(time.Millisecond))
	why = "nothing is heard of Ada (Quay)"
	*now = now.Add(time.Second)
	r.Command(show.Command{Action: show.Resume, Anyway: true}, *now)
	r.step()
	if got := r.picture(); got.Message.Text != "cannot resume: "+why || got.Why != "Sam: boat in the line" {
		t.Errorf("held for %q, when the console says %q", got.Why, got.Message.Text)
	}
	why = ""
	for _, c := range []struct {
		hold func()
		want string
	}{
		{func() { r.Command(show.Command{Action: show.Hold}, *now) }, "the shooter called it"},
		{func() { r.Command(show.Command{Action: show.Hold, Reason: "wind"}, *now) }, "the shooter: wind"},
		{func() { r.CallHold(show.ByEngine, "Ada", "", show.CauseCrewLost, *now) }, "nothing is heard of Ada"},
	} {
		*now = now.Add(time.Second)
		r.Command(show.Command{Action: show.Resume, Anyway: true}, *now)
		r.step()
		if got := r.picture(); got.Why != "" {
			t.Errorf("it runs, and is held for %q", got.Why)
		}
		*now = now.Add(time.Second)
		c.hold()
		r.step()
		if got := r.picture().Why; got != c.want {
			t.Errorf("held for %q; wanted %q", got, c.want)
		}
	}
}

// TestAsksBeforeResume: that somebody asks to have their position stood down is named
// before a resume, which must be asked for twice, and stands in the log.
func TestAsksBeforeResume(t *testing.T) {
	var why string
	r, now := crewRig(t, 0, &why)
	r.cfg.Asks = func() string { return "Ada asks to stand Quay down" }
	if got := resumesTwice(t, r, now); got != "Ada asks to stand Quay down" {
		t.Errorf("asked because %q", got)
	}
	r.Deck.log.drain()
	e := entriesOf(t, r)
	if got := e[len(e)-1]; got.Kind != "resumed" || got.Words(rate, 10*rate) != "Ada asks to stand Quay down" {
		t.Errorf("%+v: %q", got, got.Words(rate, 10*rate))
	}
}
