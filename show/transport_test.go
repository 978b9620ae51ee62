package show

import (
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"drylane/show/timebase"
)

const testRate = 48000

var testConsole = Console{Guard: DefaultGuard, NudgeLimit: DefaultNudgeLimit, Together: DefaultTogether}

func testPlan(length time.Duration, cues ...Cue) *Plan {
	return NewPlan(cues, testConsole, testRate, timebase.FrameAt(length, testRate))
}

func ms(n int) time.Duration { return time.Duration(n) * time.Millisecond }

func frame(n int) timebase.Frame { return timebase.FrameAt(ms(n), testRate) }

func cueAt(effectMS, prefireMS int, position string) Cue {
	return Cue{EffectAt: ms(effectMS), Prefire: ms(prefireMS), Burn: ms(1500), Position: position}
}

// run drives a transport and keeps every event.
type run struct {
	t  *Transport
	ev []Event
}

func started(p *Plan) *run {
	r := &run{t: NewTransport(p)}
	r.do(Command{Action: Arm}, 0)
	r.do(Command{Action: Start}, 0)
	return r
}

func (r *run) do(c Command, at timebase.Frame) error {
	ev, err := r.t.Do(c, at, r.ev)
	r.ev = ev
	return err
}

func (r *run) advance(at timebase.Frame) { r.ev = r.t.Advance(at, r.ev) }

// list renders the events of the kinds named, one a string.
func (r *run) list(kinds ...EventKind) []string {
	var out []string
	for _, e := range r.ev {
		if slices.Contains(kinds, e.Kind) {
			out = append(out, fmt.Sprintf("%s %d @%d", e.Kind, e.Cue, e.At.At(testRate).Milliseconds()))
		}
	}
	return out
}

func expect(t *testing.T, got []string, want ...string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

func TestFiresAtIgnition(t *testing.T) {
	r := started(testPlan(ms(5000), cueAt(1000, 0, "A"), cueAt(3000, 2500, "A"), cueAt(2000, 0, "B")))
	r.advance(frame(6000))
	expect(t, r.list(EventFired), "fired 0 @500", "fired 1 @1000", "fired 2 @2000")
	if r.t.State() != Ended {
		t.Errorf("state %v after the last effect and the end of the music", r.t.State())
	}
}

// The music may end before the last effect: a shell lit at 1.0 s breaks at 3.5 s,
// half a second behind the last note, and the run is not over before that.
func TestEndsWithTheLastEffect(t *testing.T) {
	r := started(testPlan(ms(3000), cueAt(3500, 2500, "A"), cueAt(2000, 0, "A")))
	for _, tt := range []struct {
		at   int
		want State
	}{{3000, Running}, {3499, Running}, {3500, Ended}} {
		r.advance(frame(tt.at))
		if got := r.t.State(); got != tt.want {
			t.Errorf("%v at %d ms, want %v", got, tt.at, tt.want)
		}
	}
	expect(t, r.list(EventFired, EventEnded), "fired 0 @1000", "fired 1 @2000", "ended -1 @3500")
}

func TestNudgeMovesOnlyWhatIsBehindTheGuard(t *testing.T) {
	r := started(testPlan(ms(5000), cueAt(1000, 0, "A"), cueAt(1100, 0, "A"), cueAt(1200, 0, "A")))
	r.advance(frame(900))
	r.do(Command{Action: Nudge, Step: -ms(300)}, frame(900))
	if n, after := r.t.InForce(); n != 0 || after != 0 {
		// 1000 is within 150 ms of 900, 1100 is not.
		t.Errorf("in force %v after cue %d, want 0 after cue 0", n, after)
	}
	if r.t.Asked() != -ms(300) {
		t.Errorf("asked %v", r.t.Asked())
	}
	r.advance(frame(1000))
	if n, after := r.t.InForce(); n != -ms(300) || after != -1 {
		t.Errorf("in force %v after %d once the committed cue has gone", n, after)
	}
	r.advance(frame(3000))
	expect(t, r.list(EventFired), "fired 0 @1000", "fired 1 @1400", "fired 2 @1500")
}

func TestOverdueCuesFireAtTheEdgeOfTheGuard(t *testing.T) {
	r := started(testPlan(ms(5000), cueAt(1000, 0, "A"), cueAt(2000, 0, "A"), cueAt(4000, 0, "A")))
	r.do(Command{Action: Nudge, Step: ms(1500)}, frame(700))
	r.advance(frame(5000))
	// At 0.7 s the first two would have been due at -0.5 s and 0.5 s. The list has
	// nothing nearer than 1 s; the third waits for the second.
	expect(t, r.list(EventFired), "fired 0 @850", "fired 1 @1850", "fired 2 @2850")
}

func TestNudgeClamps(t *testing.T) {
	r := started(testPlan(ms(60000), cueAt(50000, 0, "A")))
	for range 120 {
		r.do(Command{Action: Nudge, Step: ms(100)}, frame(100))
	}
	if r.t.Asked() != 10*time.Second {
		t.Errorf("asked %v, want the limit", r.t.Asked())
	}
	r.do(Command{Action: Nudge, Step: -30 * time.Second}, frame(100))
	if r.t.Asked() != -10*time.Second {
		t.Errorf("asked %v, want the limit", r.t.Asked())
	}
}

func TestHoldEndsCommitments(t *testing.T) {
	r := started(testPlan(ms(5000), cueAt(1000, 0, "A"), cueAt(1100, 0, "A"), cueAt(3000, 0, "A")))
	r.do(Command{Action: Hold, Reason: "test"}, frame(980))
	r.advance(frame(4000)) // a late report from the device changes nothing
	expect(t, r.list(EventFired))
	expect(t, r.list(EventWithdrawn), "withdrawn 0 @980", "withdrawn 1 @980")
	if due := r.t.DueAtStop(); !slices.Equal(due, []int{0, 1}) {
		t.Errorf("cues %d said to have been due, want the first two", due)
	}
	r.do(Command{Action: Nudge, Step: -ms(100)}, frame(980))
	r.do(Command{Action: Resume, HeldFor: 7 * time.Second}, frame(980))
	r.advance(frame(4000))
	expect(t, r.list(EventFired), "fired 0 @1100", "fired 1 @1200", "fired 2 @3100")
	if due := r.t.DueAtStop(); due != nil {
		t.Errorf("cues %d said to have been due of a run that goes on", due)
	}
}

func TestNudgeWhileHeldFiresOverdueCuesOnResume(t *testing.T) {
	r := started(testPlan(ms(5000), cueAt(1000, 0, "A"), cueAt(1400, 0, "A")))
	r.do(Command{Action: Hold}, frame(900))
	r.do(Command{Action: Nudge, Step: ms(200)}, frame(900))
	r.do(Command{Action: Resume}, frame(900))
	r.advance(frame(4000))
	expect(t, r.list(EventFired), "fired 0 @900", "fired 1 @1200")
}

func TestLitEffectsBurnOnDuringAHold(t *testing.T) {
	r := started(testPlan(ms(20000), cueAt(3000, 2000, "A"), cueAt(6000, 4500, "A"), cueAt(19000, 0, "B")))
	r.do(Command{Action: Hold}, frame(2000))
	up := r.t.StillUp(ms(1500), nil)
	if len(up) != 2 || up[0].Cue != 1 || up[0].Effect != frame(2500) || up[1].Effect != frame(-500) || up[1].Clear != frame(1000) {
		t.Errorf("still up after 1.5 s: %+v", up)
	}
	r.do(Command{Action: Resume, HeldFor: ms(3000)}, frame(2000))
	// Due at 3.0 s and 6.0 s; three seconds of sky have gone by at 2.0 s.
	expect(t, r.list(EventMoved, EventBroke), "moved 1 @2000", "broke 0 @2000")
	if got := r.t.EffectAt(1); got != frame(3000) {
		t.Errorf("effect of the cue lit before the hold at %d ms, want 3000", got.At(testRate).Milliseconds())
	}
	if got := r.t.EffectAt(2); got != frame(19000) {
		t.Errorf("a cue fired after the hold has its effect at %d ms, want 19000", got.At(testRate).Milliseconds())
	}
}

func TestStandDownAndBringBack(t *testing.T) {
	plan := testPlan(ms(5000), cueAt(1000, 0, "A"), cueAt(1050, 0, "B"), cueAt(2000, 0, "A"), cueAt(3000, 0, "A"))
	r := started(plan)
	a := Group{LanesByPosition, "A"}
	if err := r.do(Command{Action: StandDown, Group: a}, frame(990)); err != nil {
		t.Fatal(err)
	}
	if err := r.do(Command{Action: StandDown, Group: a}, frame(995)); err == nil {
		t.Error("standing down twice was taken")
	}
	r.advance(frame(2500))
	if err := r.do(Command{Action: BringBack, Group: a}, frame(2500)); err != nil {
		t.Fatal(err)
	}
	r.advance(frame(6000))
	expect(t, r.list(EventFired, EventSkipped), "skipped 0 @1000", "fired 1 @1050", "skipped 2 @2000", "fired 3 @3000")
	if !r.t.Down(0) || r.t.Down(1) || !r.t.Down(2) || r.t.Down(3) {
		t.Error("the record of what was skipped while stood down is wrong")
	}
}

func TestCut(t *testing.T) {
	r := started(testPlan(ms(5000), cueAt(1000, 0, "A"), cueAt(2000, 0, "A")))
	r.do(Command{Action: Cut}, frame(1500))
	r.advance(frame(5000))
	expect(t, r.list(EventFired), "fired 0 @1000")
	if r.t.State() != Safe {
		t.Errorf("state %v after a cut", r.t.State())
	}
}

func TestRefusals(t *testing.T) {
	for _, tt := range []struct {
		to  State
		no  []Action
		yes []Action
	}{
		{Safe, []Action{Start, Hold, Resume, Nudge, StandDown, BringBack, Cut, Reset}, []Action{Arm}},
		{Armed, []Action{Arm, Hold, Resume, Reset, BringBack}, []Action{Start, Nudge, StandDown, Cut}},
		{Running, []Action{Arm, Start, Resume, Reset, BringBack}, []Action{Hold, Nudge, StandDown, Cut}},
		{Held, []Action{Arm, Start, Hold, Reset, BringBack}, []Action{Resume, Nudge, StandDown, Cut}},
		{Ended, []Action{Arm, Start, Hold, Resume, Nudge, StandDown, BringBack, Cut}, []Action{Reset}},
	} {
		bring := func() *run {
			r := &run{t: NewTransport(testPlan(ms(2000), cueAt(1000, 0, "A")))}
			steps := map[State][]Action{Armed: {Arm}, Running: {Arm, Start}, Held: {Arm, Start, Hold}, Ended: {Arm, Start}}
			for _, a := range steps[tt.to] {
				r.do(Command{Action: a}, 0)
			}
			if tt.to == Ended {
				r.advance(frame(9000))
			}
			return r
		}
		for _, a := range tt.no {
			r := bring()
			before, events := *r.t, len(r.ev)
			var refusal *Refusal
			err := r.do(Command{Action: a, Group: Group{LanesByPosition, "A"}}, 0)
			if !errors.As(err, &refusal) {
				t.Errorf("%v while %v: error %v, want a refusal", a, tt.to, err)
			}
			if r.t.State() != before.State() || len(r.ev) != events {
				t.Errorf("%v while %v: refused, and yet something changed", a, tt.to)
			}
		}
		for _, a := range tt.yes {
			if err := bring().do(Command{Action: a, Group: Group{LanesByPosition, "A"}}, 0); err != nil {
				t.Errorf("%v while %v: %v", a, tt.to, err)
			}
		}
	}
}

func TestNearestEffect(t *testing.T) {
	r := started(testPlan(ms(60000), cueAt(10000, 3000, "A"), cueAt(12000, 0, "B"), cueAt(30000, 0, "A")))
	r.do(Command{Action: Nudge, Step: -ms(500)}, frame(1000))
	r.advance(frame(20000))
	for _, tt := range []struct {
		tap, group, cue, late int
		ok                    bool
	}{
		{10200, -1, 0, 300, true}, // the effect came at 10.5 s
		{11400, -1, 0, -900, true},
		{12400, -1, 1, 100, true},
		{12400, 0, 0, -1900, true},
		{20000, -1, 0, 0, false},
	} {
		cue, late, ok := r.t.NearestEffect(frame(tt.tap), tt.group)
		if ok != tt.ok || ok && (cue != tt.cue || late != frame(tt.late)) {
			t.Errorf("tap at %d: cue %d, late %d ms, %v; want %d, %d, %v", tt.tap, cue, late.At(testRate).Milliseconds(), ok, tt.cue, tt.late, tt.ok)
		}
	}
}

// TestNothingFiresOnTheKey: a cue on the frame at which the show starts, or goes on,
// fires when that frame is heard, however long the device holds it back; held before
// that, it has not fired.
func TestNothingFiresOnTheKey(t *testing.T) {
	const rate = 1000
	plan := NewPlan([]Cue{{ID: "first", Position: "A"}, {ID: "second", EffectAt: 500 * time.Millisecond, Position: "A"}},
		Console{Guard: 150 * time.Millisecond, NudgeLimit: 10 * time.Second}, rate, 10*rate)
	tr := NewTransport(plan)
	var fired []Event
	do := func(a Action, at timebase.Frame, step time.Duration) {
		t.Helper()
		ev, err := tr.Do(Command{Action: a, Step: step}, at, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range ev {
			if e.Kind == EventFired {
				t.Errorf("cue %d fired on %s", e.Cue, a)
			}
		}
	}
	heard := func(at timebase.Frame) {
		for _, e := range tr.Advance(at, nil) {
			if e.Kind == EventFired {
				fired = append(fired, e)
			}
		}
	}
	want := func(at ...timebase.Frame) {
		t.Helper()
		if len(fired) != len(at) {
			t.Fatalf("%d cues have fired; wanted %d", len(fired), len(at))
		}
		for i, e := range fired {
			if e.At != at[i] {
				t.Errorf("cue %d fired at %d; wanted %d", i, e.At, at[i])
			}
		}
	}
	do(Arm, 0, 0)
	do(Start, 0, 0)
	heard(0)
	want()
	do(Hold, 0, 0)
	do(Resume, 0, 0)
	heard(0)
	want()
	heard(1)
	want(0)
	do(Hold, 100, 0)
	do(Nudge, 100, time.Second) // the second cue comes due where the show is held
	do(Resume, 100, 0)
	heard(100)
	want(0)
	heard(101)
	want(0, 100)
}

// A run worked out by hand, with a guard of 150 ms.
//
//	cue  ignites  what comes of it
//	0    1.0 s    fires at 1.0 s, breaks at 3.0 s
//	1    2.0 s    is committed from 1.85 s on: EARLIER 0.5 s at 1.9 s moves it no more, 2.0 s
//	2    2.1 s    2.1 > 1.9 + 0.15: moved to 1.6 s, which is past, so to the edge, 2.05 s
//	3    4.0 s    3.5 s, committed at 3.35 s; the hold at 3.4 s takes it back; LATER
//	              0.3 s in the hold leaves EARLIER 0.2 s: 3.8 s
//	4    6.0 s    5.8 s, and breaks 0.4 s later
//
// The music is over at 5.0 s, the run with the last break, at 6.2 s.
func TestRunByHand(t *testing.T) {
	r := started(testPlan(ms(5000), cueAt(3000, 2000, "A"), cueAt(2000, 0, "A"), cueAt(2100, 0, "B"), cueAt(4000, 0, "A"), cueAt(6400, 400, "B")))
	for at := 0; at <= 1900; at += 50 {
		r.advance(frame(at))
	}
	r.do(Command{Action: Nudge, Step: ms(500)}, frame(1900))
	r.advance(frame(3370))
	r.do(Command{Action: Hold}, frame(3400))
	r.do(Command{Action: Nudge, Step: -ms(300)}, frame(3400))
	r.do(Command{Action: Resume, HeldFor: 5 * time.Second}, frame(3400))
	for at := 3400; at <= 7000; at += 10 {
		r.advance(frame(at))
	}
	expect(t, r.list(EventFired, EventWithdrawn, EventMoved, EventBroke, EventEnded),
		"fired 0 @1000", "fired 1 @2000", "fired 2 @2050", "withdrawn 3 @3400", "fired 3 @3800", "fired 4 @5800", "ended -1 @6200")
}
