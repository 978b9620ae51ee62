package deck

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/follow"
	"drylane/show"
	"drylane/show/ready"
	"drylane/show/session"
)

// heldElsewhere is a run that is held at 2.5 s, with two cues fired which burn on, whose
// music has jumped to 8 s.
func heldElsewhere(t *testing.T) (*rig, *player) {
	t.Helper()
	cues := list(19, time.Second)
	for i := range cues {
		cues[i].Burn = time.Minute
	}
	return jumpedAhead(t, cues)
}

func jumpedAhead(t *testing.T, cues []show.Cue) (*rig, *player) {
	t.Helper()
	r, p := ledRig(t, cues)
	p.runs(0, false)
	p.at(r, 0)
	p.at(r, 2500*time.Millisecond)
	p.stops(follow.Jumped)
	p.runs(8*time.Second, false)
	r.step()
	r.is(t, show.Held, 2500*time.Millisecond)
	return r, p
}

// armedLate is a run that is armed, whose music was found at 8 s.
func armedLate(t *testing.T) (*rig, *player) {
	t.Helper()
	r, p := newLedRig(t)
	p.runs(8*time.Second, false)
	r.step()
	r.is(t, show.Armed, 0)
	return r, p
}

// answers puts three on the go / no-go list, who all have said go but for whoever says no.
func (r *rig) answers(t *testing.T, no string) {
	t.Helper()
	r.ready.list = ready.New([]show.Ask{{Who: "Field"}, {Who: "Spotter"}, {Who: "Sound"}})
	for _, who := range []string{"Field", "Spotter", "Sound"} {
		d := ready.Deed{Who: who, Answer: show.AnswerGo}
		if who == no {
			d.Answer, d.Reason = show.AnswerNoGo, "wind"
		}
		if _, err := r.ready.list.Give(d); err != nil {
			t.Fatal(err)
		}
	}
	r.ready.publish()
}

// takesBack withdraws somebody's answer.
func (r *rig) takesBack(t *testing.T, who string) {
	t.Helper()
	if _, err := r.ready.list.Give(ready.Deed{Who: who}); err != nil {
		t.Fatal(err)
	}
	r.ready.publish()
}

// cannotSeek is a soundtrack that is not wound any more.
type cannotSeek struct{ *ramp }

func (cannotSeek) Seek(int) error { return errors.New("read error") }

// refusals are what refuses a start or a resume however often it is asked for, and what
// is said then.
var refusals = map[string]struct {
	with func(t *testing.T, r *rig, p *player)
	said string
}{
	"safety": {func(_ *testing.T, r *rig, _ *player) {
		r.cfg.Forbids = func() string { return "safety Saf refuses it: boat" }
	}, "safety Saf refuses it: boat"},
	"crew lost": {func(_ *testing.T, r *rig, _ *player) {
		r.cfg.Forbids = func() string { return "nothing is heard of Ada (Quay)" }
	}, "nothing is heard of Ada (Quay)"},
	"no-go": {func(t *testing.T, r *rig, _ *player) { r.answers(t, "Spotter") }, "no-go from Spotter (wind)"},
	"in the field": {func(t *testing.T, r *rig, _ *player) {
		var wait time.Duration
		r.cfg.Safe = &wait
		r.openSafe()
		if err := r.safe.b.Enter("Ben", r.now); err != nil {
			t.Fatal(err)
		}
	}, "Ben is in the field"},
	"check": {func(_ *testing.T, r *rig, _ *player) {
		r.cfg.Stops = func() []string { return []string{"cue 7 is at no position"} }
	}, "cue 7 is at no position"},
	"music not to be trusted": {func(_ *testing.T, r *rig, _ *player) {
		r.Fail(show.CauseFileChanged)
	}, "the soundtrack's file changed while it was open; open the show again"},
	"behind the end": {func(_ *testing.T, _ *rig, p *player) {
		p.now.Place = 21 * time.Second
	}, "music at 0:21.0, the show ends at 0:20.0; cut"},
	"no device": {func(_ *testing.T, r *rig, _ *player) {
		r.Deck.out = nil
		r.cfg.Reopen = func() (playback.Output, error) { return nil, errors.New("no device") }
	}, "no device; connect it"},
	"no soundtrack": {func(_ *testing.T, r *rig, _ *player) {
		r.cfg.Music = cannotSeek{r.cfg.Music.(*ramp)}
	}, "cannot be wound to 0:08.000: read error"},
}

// TestElsewhereRefused: whatever refuses to go on where the music is does so before
// anything is cut, whether it is asked for twice or with "anyway": the run stands where
// it stood, and nothing of it is lost.
func TestElsewhereRefused(t *testing.T) {
	for _, from := range []struct {
		state  show.State
		action show.Action
		at     time.Duration
		rig    func(*testing.T) (*rig, *player)
	}{
		{show.Held, show.Resume, 2500 * time.Millisecond, heldElsewhere},
		{show.Armed, show.Start, 0, armedLate},
	} {
		for name, c := range refusals {
			for _, anyway := range []bool{false, true} {
				r, p := from.rig(t)
				r.cfg.Silent = func() playback.Output { return r.out }
				next := r.t.Next()
				c.with(t, r, p)
				for range 2 {
					r.now = r.now.Add(time.Second)
					r.Command(show.Command{Action: from.action, Anyway: anyway}, r.now)
					r.step()
				}
				r.is(t, from.state, from.at)
				if r.t.Next() != next || r.t.Reentered() {
					t.Errorf("%s, %s: cue %d is next, re-entered %v", from.state, name, r.t.Next(), r.t.Reentered())
				}
				if !strings.Contains(r.message.Text, c.said) || r.message.Urgency != Alarm {
					t.Errorf("%s, %s: said %q", from.state, name, r.message.Text)
				}
				if got := told(t, r); strings.Contains(got, "cut") || r.again.on() {
					t.Errorf("%s, %s: log %s; asked %q", from.state, name, got, r.again.said)
				}
			}
		}
	}
}

// TestElsewhereStopWaits: a hold that comes in while the device is opened for it wins
// before anything is cut.
func TestElsewhereStopWaits(t *testing.T) {
	r, _ := heldElsewhere(t)
	r.Deck.out = nil
	r.cfg.Reopen = func() (playback.Output, error) {
		r.Command(show.Command{Action: show.Hold}, r.now)
		return r.led, nil
	}
	r.Command(show.Command{Action: show.Resume, Anyway: true}, r.now)
	r.step()
	r.is(t, show.Held, 2500*time.Millisecond)
	if got := told(t, r); !strings.HasSuffix(got, "overruled not resume") {
		t.Errorf("log %s", got)
	}
}

// TestElsewhereNames: the question names all that would be asked for twice on the way,
// and what is asked for again is done.
func TestElsewhereNames(t *testing.T) {
	r, p := heldElsewhere(t)
	r.answers(t, "")
	r.cfg.Checklist = []string{"nobody inside", "cause gone"}
	r.cfg.Unheard = func() int { return 2 }
	r.ask(show.Resume)
	const want = "cannot resume yet: up to 8 cues stay loaded; 2 still up, 2 lines unticked, 2 of the crew not heard from; music at 0:08.0, show at 0:02.5; asked for again within 3 s it is done all the same"
	if r.message.Text != want {
		t.Errorf("said %q\nwant %q", r.message.Text, want)
	}
	r.is(t, show.Held, 2500*time.Millisecond)
	p.now.Place = 9200 * time.Millisecond
	r.ask(show.Resume)
	p.at(r, 9200*time.Millisecond)
	r.is(t, show.Running, 9200*time.Millisecond)

	r, _ = armedLate(t)
	r.cfg.Checklist = []string{"nobody inside"} // of a hold
	r.answers(t, "")
	r.takesBack(t, "Sound")
	r.ask(show.Start)
	if got := r.again.Why; got != "up to 10 cues stay loaded; no go from Sound; music at 0:08.0, show at 0:00.0" {
		t.Errorf("asked %q", got)
	}
	r.ask(show.Start)
	r.is(t, show.Running, 8*time.Second)
}

// TestElsewhereKeepsGos: going on where the music is leaves standing who has said go, and
// misses no other; what is made of the log says the same. Any other cut makes all old.
func TestElsewhereKeepsGos(t *testing.T) {
	for _, from := range []struct {
		action show.Action
		rig    func(*testing.T) (*rig, *player)
	}{{show.Resume, heldElsewhere}, {show.Start, armedLate}} {
		for _, missing := range []string{"", "Sound"} {
			r, _ := from.rig(t)
			r.answers(t, "")
			want := []string(nil)
			if missing != "" {
				r.takesBack(t, missing)
				want = []string{missing}
			}
			r.Command(show.Command{Action: from.action, Anyway: true}, r.now)
			r.step()
			r.is(t, show.Running, 8*time.Second)
			r.Deck.log.drain()
			entries := entriesOf(t, r)
			i := slices.IndexFunc(entries, func(e session.Entry) bool { return e.Kind == show.EventReentered.String() })
			if i < 1 || !slices.Equal(entries[i].Data.Without, want) || !slices.Equal(r.ready.now.Missing(), want) {
				t.Fatalf("%s without %q: entry %d of %+v; now without %q", from.action, want, i, entries, r.ready.now.Missing())
			}
			if cut := &entries[i-1]; cut.Kind != show.EventCut.String() || cut.Words(rate, 0) != "to go on where the music is" || session.Upsets(cut.Kind, cut.Data.Cause) != ready.NoUpset {
				t.Errorf("%s: before it %+v", from.action, cut)
			}
			r.Command(show.Command{Action: show.Cut}, r.now)
			r.step()
			if got := r.ready.now.Missing(); len(got) != 3 {
				t.Errorf("%s: after a cut only %q have to answer again", from.action, got)
			}
		}
	}
}

// TestElsewhereFigure: whenever within the 3 s it is asked for again, no more cues stay
// loaded than was said; and where the music has got further than they reach, nobody has
// agreed to that.
func TestElsewhereFigure(t *testing.T) {
	for _, c := range []struct {
		last  time.Duration // the last cue that the list has
		after time.Duration // of music, between the two
		said  string
		loads int // -1: it is asked anew
	}{
		{19 * time.Second, 800 * time.Millisecond, "up to 8 cues stay loaded", 6},
		{19 * time.Second, 2990 * time.Millisecond, "up to 8 cues stay loaded", 8},
		{19 * time.Second, 3010 * time.Millisecond, "up to 8 cues stay loaded", -1},
		{19 * time.Second, 5 * time.Second, "up to 8 cues stay loaded", -1},
		{19 * time.Second, -3 * time.Second, "up to 8 cues stay loaded", 2},
		{3 * time.Second, 2990 * time.Millisecond, "up to 1 cue stays loaded", 1},
		{2 * time.Second, 2990 * time.Millisecond, "no cue stays loaded", 0},
	} {
		r, p := jumpedAhead(t, list(int(c.last/time.Second), time.Second))
		r.ask(show.Resume)
		if said, _, _ := strings.Cut(r.again.Why, ";"); said != c.said {
			t.Errorf("last cue at %v: asked %q, want %q", c.last, said, c.said)
		}
		p.at(r, 8*time.Second+c.after)
		r.ask(show.Resume)
		loads := len(r.t.Loaded(nil))
		if r.t.State() == show.Held {
			loads = -1
		}
		if loads != c.loads {
			t.Errorf("%v of music later %d cues stay loaded, want %d (%s)", c.after, loads, c.loads, r.message.Text)
		}
	}
}

// TestElsewhereIsItsOwnQuestion: who agreed to resume at the show's own place has not
// agreed to leave cues out, nor the other way round.
func TestElsewhereIsItsOwnQuestion(t *testing.T) {
	r, p := heldElsewhere(t)
	p.at(r, time.Second)
	r.ask(show.Resume)
	if got := r.again.Why; got != "2 still up" {
		t.Fatalf("asked %q", got)
	}
	p.at(r, 8*time.Second)
	r.ask(show.Resume)
	r.is(t, show.Held, 2500*time.Millisecond)
	p.at(r, time.Second)
	r.cfg.Checklist = []string{"nobody inside"}
	r.ask(show.Resume)
	r.is(t, show.Held, 2500*time.Millisecond)
	if got := r.again.Why; r.led.willing || !strings.HasSuffix(got, "1 line unticked") {
		t.Errorf("it agreed: %v; asked %q", r.led.willing, got)
	}
}

// TestElsewhereLeavesOutASalvo: a start where the music is asks its own question though
// a nudge has made many cues due at once, none of which would fire there.
func TestElsewhereLeavesOutASalvo(t *testing.T) {
	r, p := newLedRig(t)
	r.Command(show.Command{Action: show.Nudge, Step: 9 * time.Second}, r.now)
	p.runs(8*time.Second, false)
	r.step()
	for _, want := range []show.State{show.Armed, show.Running} {
		r.ask(show.Start)
		if r.t.State() != want {
			t.Fatalf("%s, want %s: %s", r.t.State(), want, r.message.Text)
		}
		if want == show.Armed && !strings.HasPrefix(r.again.Why, "up to 19 cues stay loaded; music at 0:08.0") {
			t.Errorf("asked %q", r.again.Why)
		}
	}
}

// TestLeaderRefusedAhead: what refuses a resume ahead of the music is said at once, and
// nothing is agreed to that cannot be had.
func TestLeaderRefusedAhead(t *testing.T) {
	for _, name := range []string{"safety", "crew lost", "in the field", "music not to be trusted"} {
		r, p := heldElsewhere(t)
		p.at(r, time.Second)
		refusals[name].with(t, r, p)
		for range 2 {
			r.ask(show.Resume)
		}
		if !strings.Contains(r.message.Text, refusals[name].said) || r.led.willing {
			t.Errorf("%s: said %q, it agreed: %v", name, r.message.Text, r.led.willing)
		}
		p.at(r, 2510*time.Millisecond)
		r.is(t, show.Held, 2500*time.Millisecond)
	}
}
