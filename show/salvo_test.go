package show

import (
	"errors"
	"os"
	"slices"
	"testing"
	"time"

	"drylane/show/timebase"
)

// demoPlan is the demo show's.
func demoPlan(t *testing.T) *Plan {
	t.Helper()
	s, err := Load(os.DirFS("../testdata/demo/show"))
	if err != nil {
		t.Fatal(err)
	}
	return NewPlan(s.Cues, s.Console, testRate, frame(135_000))
}

// fired returns the frames at which cues fired, by cue.
func (r *run) fired() map[int]timebase.Frame {
	at := map[int]timebase.Frame{}
	for _, e := range r.ev {
		if e.Kind == EventFired {
			at[e.Cue] = e.At
		}
	}
	return at
}

// nudge5 is ten presses of 0.5 s in one.
var nudge5 = Command{Action: Nudge, Step: 5 * time.Second}

// TestDemoSalvo is the demo at 66 s, nudged earlier by 5 s: refused with the number of
// cues, and spread when it is asked for all the same.
func TestDemoSalvo(t *testing.T) {
	p := demoPlan(t)
	r := started(p)
	r.advance(frame(66_000))
	var refusal *Refusal
	if err := r.do(nudge5, frame(66_000)); !errors.As(err, &refusal) || err.Error() != "cannot nudge: 19 cues would come due at once" || refusal.Salvo.Cues != 19 {
		t.Fatalf("refused as %v", err)
	}
	if r.t.Asked() != 0 {
		t.Errorf("refused, and the nudge is %v", r.t.Asked())
	}
	anyway := nudge5
	anyway.Anyway = true
	if err := r.do(anyway, frame(66_000)); err != nil {
		t.Fatal(err)
	}
	salvo := r.ev[len(r.ev)-1].Salvo
	checkSpread(t, p, r, salvo, frame(66_200), 19) // a cue was committed for 66.1 s
}

// TestDemoSalvoOfAResume is the demo held at 66 s and nudged earlier by 10 s: the
// nudge is free, and the resume is what is refused.
func TestDemoSalvoOfAResume(t *testing.T) {
	p := demoPlan(t)
	r := started(p)
	r.do(Command{Action: Hold}, frame(66_000))
	for range 2 {
		if err := r.do(nudge5, frame(66_000)); err != nil {
			t.Fatal(err)
		}
		if s := r.ev[len(r.ev)-1].Salvo; s != (Salvo{}) {
			t.Errorf("a nudge of a run that is held lets go %+v", s)
		}
	}
	if err := r.do(Command{Action: Resume}, frame(66_000)); err == nil || err.Error() != "cannot resume: 39 cues would come due at once" || r.t.State() != Held {
		t.Fatalf("%v: %v", r.t.State(), err)
	}
	if err := r.do(Command{Action: Resume, Anyway: true}, frame(66_000)); err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(r.ev, func(e Event) bool { return e.Kind == EventResumed })
	checkSpread(t, p, r, r.ev[i].Salvo, frame(66_100), 39) // a cue fired on the held frame
}

// checkSpread plays a run of the demo out, in which a salvo of n cues comes from a
// frame on.
func checkSpread(t *testing.T, p *Plan, r *run, s Salvo, from timebase.Frame, n int) {
	t.Helper()
	if d := p.Cues[s.First].Ignite - p.Cues[s.First-1].Ignite; s.Cues != n || d <= 0 {
		t.Errorf("a salvo of %d cues, want %d", s.Cues, n)
	}
	r.advance(from + 1)
	if got := r.t.Spreading(); got.Cues < n-p.largest() || got.Last != s.Last {
		t.Errorf("on its way: %+v, of %+v", got, s)
	}
	r.advance(frame(200_000))
	at := r.fired()
	if len(at) != len(p.Cues) {
		t.Errorf("%d of %d cues fired", len(at), len(p.Cues))
	}
	if at[s.First] != from || at[s.Last] != from+s.Over {
		t.Errorf("cues %d to %d fired from %d to %d, want %d and %d later", s.First, s.Last, at[s.First], at[s.Last], from, s.Over)
	}
	for i := s.First + 1; i <= s.Last; i++ {
		want := frame(100) // as near as the demo has any
		if p.Cues[i].Ignite == p.Cues[i-1].Ignite {
			want = 0
		}
		if d := at[i] - at[i-1]; d != want {
			t.Errorf("cue %d came %d frames after cue %d, want %d", i, d, i-1, want)
		}
	}
	if r.t.Spreading() != (Salvo{}) {
		t.Errorf("on its way when all is over: %+v", r.t.Spreading())
	}
}

// largest is how many cues the list has on one frame at most.
func (p *Plan) largest() (most int) {
	on := map[timebase.Frame]int{}
	for _, c := range p.Cues {
		on[c.Ignite]++
		most = max(most, on[c.Ignite])
	}
	return most
}

// TestStepsOfATenthAreFree: nowhere in the demo is a step of 0.1 s refused.
func TestStepsOfATenthAreFree(t *testing.T) {
	r := started(demoPlan(t))
	for at := 0; at < 135_000; at += 10 {
		r.advance(frame(at))
		for _, step := range []time.Duration{ms(100), -ms(100)} {
			c := Command{Action: Nudge, Step: step}
			if s, must := r.t.NeedsAnyway(c); must {
				t.Errorf("a step of %v at %d ms: %+v", step, at, s)
			}
		}
	}
}

// TestSalvo: what comes due at once, and what it takes to be refused.
func TestSalvo(t *testing.T) {
	row := func(every, n int) (cues []Cue) {
		for i := range n {
			cues = append(cues, cueAt(1000+every*i, 0, "AB"[i%2:i%2+1]))
		}
		return cues
	}
	together := append(row(0, 20), cueAt(3000, 0, "A"))
	for _, tt := range []struct {
		name    string
		cues    []Cue
		step    int
		cues2   int // that come due
		listed  int
		over    int // ms
		refused bool
	}{
		{"none is overdue", row(100, 9), -100, 0, 0, 0, false},
		{"one by itself", row(100, 9), 100, 0, 0, 0, false},
		{"as many as may", row(100, 9), 700, 7, 1, 600, false},
		{"one more", row(100, 9), 800, 8, 1, 700, true},
		{"nearer than may be", row(10, 9), 800, 9, 1, 400, true},
		{"what the list has on one frame", together, 800, 0, 0, 0, false},
		{"and one more", together, 2500, 21, 20, 2000, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := started(testPlan(ms(9000), tt.cues...))
			r.advance(frame(849)) // the first is due one millisecond behind the guard
			s := r.t.Salvo(Command{Action: Nudge, Step: ms(tt.step)})
			if s.Cues != tt.cues2 || s.Listed != tt.listed || s.Over != frame(tt.over) {
				t.Errorf("%+v, want %d cues of which the list has %d together, over %d ms", s, tt.cues2, tt.listed, tt.over)
			}
			if err := r.do(Command{Action: Nudge, Step: ms(tt.step)}, frame(849)); (err != nil) != tt.refused {
				t.Errorf("error %v, want one: %v", err, tt.refused)
			}
		})
	}
}

// TestSalvoLeavesOutWhatIsDown: a cue of a position that is stood down does not come.
func TestSalvoLeavesOutWhatIsDown(t *testing.T) {
	var cues []Cue
	for i := range 12 {
		cues = append(cues, cueAt(1000+100*i, 0, "AB"[i%2:i%2+1]))
	}
	r := started(testPlan(ms(9000), cues...))
	r.do(Command{Action: StandDown, Group: Group{LanesByPosition, "A"}}, frame(500))
	c := Command{Action: Nudge, Step: ms(1900)}
	if s := r.t.Salvo(c); s.Cues != 6 || s.First != 1 || s.Last != 11 {
		t.Errorf("%+v, want the 6 of B", s)
	}
	if err := r.do(c, frame(500)); err != nil {
		t.Error(err)
	}
}

// TestLaterIsFree: what makes fewer cues overdue is not refused for those that are.
func TestLaterIsFree(t *testing.T) {
	p := demoPlan(t)
	r := started(p)
	c := nudge5
	c.Anyway = true
	r.do(c, frame(66_000))
	if err := r.do(Command{Action: Nudge, Step: ms(100)}, frame(66_010)); err == nil {
		t.Error("0.1 s earlier still is not refused while a salvo is on its way")
	}
	if err := r.do(Command{Action: Nudge, Step: -ms(100)}, frame(66_010)); err != nil {
		t.Error(err)
	}
}

// TestStartWithANudge: a nudge of the armed show takes effect with the start.
func TestStartWithANudge(t *testing.T) {
	var cues []Cue
	for i := range 10 {
		cues = append(cues, cueAt(100+200*i, 0, "A"))
	}
	r := &run{t: NewTransport(testPlan(ms(9000), cues...))}
	r.do(Command{Action: Arm}, 0)
	if err := r.do(Command{Action: Nudge, Step: ms(1600)}, 0); err != nil {
		t.Fatal(err)
	}
	if err := r.do(Command{Action: Start}, 0); err == nil || r.t.State() != Armed {
		t.Fatalf("%v: %v", r.t.State(), err)
	}
	if err := r.do(Command{Action: Start, Anyway: true}, 0); err != nil {
		t.Fatal(err)
	}
	r.advance(frame(9000))
	at := r.fired()
	// Eight were due before the music began; the last two begin to catch up.
	for i, want := range []int{0, 200, 400, 600, 800, 1000, 1200, 1400, 1550, 1700} {
		if at[i] != frame(want) {
			t.Errorf("cue %d fired at %v, want %d ms", i, at[i].At(testRate), want)
		}
	}
}

// TestAnyTogether is the rule of old session logs: all that is overdue on one frame.
func TestAnyTogether(t *testing.T) {
	var cues []Cue
	for i := range 10 {
		cues = append(cues, cueAt(1000+200*i, 0, "A"))
	}
	old := testConsole
	old.Together = AnyTogether
	r := started(NewPlan(cues, old, testRate, frame(9000)))
	if err := r.do(Command{Action: Nudge, Step: ms(1600)}, frame(700)); err != nil {
		t.Fatal(err)
	}
	r.advance(frame(9000))
	for i, at := range r.fired() {
		want := frame(850)
		if i == 9 {
			want = frame(1200)
		}
		if i == 8 {
			want = frame(1000)
		}
		if at != want {
			t.Errorf("cue %d fired at %v, want %v", i, at.At(testRate), want.At(testRate))
		}
	}
}
