package crew

import (
	"fmt"
	"sync"
	"testing"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/crew"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/show/timebase"
	"drylane/testdata/reftest"
)

const rate = 1000

// epoch is when tests without a clock of their own are.
var epoch = time.Date(2026, 6, 1, 21, 30, 0, 0, time.UTC)

// testCues are six cues, one every second from 2 s on, by turns at the Quay and on
// the Mole.
func testCues() []show.Cue {
	var cues []show.Cue
	for i := range 6 {
		cues = append(cues, show.Cue{ID: fmt.Sprint(i + 1), EffectAt: time.Duration(i+2) * time.Second, Prefire: 500 * time.Millisecond,
			Burn: 1500 * time.Millisecond, Position: []string{"Quay", "Mole"}[i%2], Module: "M1", Effect: "red peony", Family: show.FamilyOf("red peony")})
	}
	return cues
}

// A fakeRun is a run whose music goes by the wall clock.
type fakeRun struct {
	gate *Gate

	mu    sync.Mutex
	t     *show.Transport
	began time.Time // when the music was at frame 0, had it run since
	since time.Time
	said  string
	log   []session.Data
	holds []show.Command
	steps []drill.Step
	asked []session.Data // who asked for each
}

func newFakeRun(p *show.Plan) *fakeRun {
	return &fakeRun{gate: new(Gate), t: show.NewTransport(p), since: time.Now()}
}

func (f *fakeRun) do(a show.Action) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.command(show.Command{Action: a, By: show.ByShooter})
}

func (f *fakeRun) standDown(position string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.command(show.Command{Action: show.StandDown, Group: show.Group{By: show.LanesByPosition, Name: position}})
}

func (f *fakeRun) command(c show.Command) {
	f.advance()
	if c.Action == show.Resume && f.t.State() != show.Held {
		return
	}
	if _, err := f.t.Do(c, f.t.Heard(), nil); err == nil {
		f.since = time.Now()
		f.began = f.since.Add(-f.t.Heard().At(rate))
		f.said = show.CalledBy(c.Member, c.Reason)
	}
}

func (f *fakeRun) advance() {
	if f.t.State() == show.Running {
		f.t.Advance(timebase.FrameAt(time.Since(f.began), rate), nil)
	}
}

func (f *fakeRun) Snapshot() *deck.Snapshot {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.advance()
	return &deck.Snapshot{Transport: *f.t, Wall: time.Now(), Since: f.since, Speed: 1, Rendered: f.t.Heard() + rate/10, Why: f.said}
}

func (f *fakeRun) CallHold(by show.By, member, reason string, cause show.Cause, _ time.Time) {
	f.mu.Lock()
	defer f.mu.Unlock()
	c := show.Command{Action: show.Hold, Member: member, Reason: reason, Cause: cause, By: by}
	f.holds = append(f.holds, c)
	f.command(c)
}

func (f *fakeRun) LogCrew(d session.Data) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.log = append(f.log, d)
}

func (f *fakeRun) Instruct(s drill.Step, from session.Data) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.steps, f.asked = append(f.steps, s), append(f.asked, from)
}

// instructed returns the steps that trainers asked for so far.
func (f *fakeRun) instructed() []drill.Step {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.steps
}

// pass lets so much more of the music pass at once.
func (f *fakeRun) pass(d time.Duration) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.began = f.began.Add(-d)
}

func (f *fakeRun) Commanded(cue int) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.advance()
	return f.t.Fired(cue)
}

// logged returns the log entries of that kind so far.
func (f *fakeRun) logged(what crew.What) (list []session.Data) {
	f.mu.Lock()
	defer f.mu.Unlock()
	for _, d := range f.log {
		if d.Crew == what {
			list = append(list, d)
		}
	}
	return list
}

func (f *fakeRun) called() []show.Command {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.holds
}

// A rig is a lead on a fake run.
type rig struct {
	*Lead
	t   testing.TB
	run *fakeRun
}

func newRig(t testing.TB, change func(*Config)) *rig {
	t.Helper()
	cues := testCues()
	plan := testPlan(cues)
	run := newFakeRun(plan)
	cfg := Config{Program: "drylane test", Title: "Harbour Evening", Plan: plan, Cues: cues, Lost: show.LostGoesOn, Run: run, Gate: run.gate, Listen: "127.0.0.1:0"}
	if change != nil {
		change(&cfg)
	}
	l, err := Open(cfg)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(l.Close)
	return &rig{l, t, run}
}

func testPlan(cues []show.Cue) *show.Plan {
	return show.NewPlan(cues, show.Console{Guard: show.DefaultGuard, NudgeLimit: show.DefaultNudgeLimit, Together: show.DefaultTogether}, rate, 1000*rate)
}

// aDrill makes a rig's run a drill that does nothing by itself.
func aDrill(c *Config) {
	c.Drill, c.Training = "a drill", Training{Drill: "One thing", Exercise: &drill.Exercise{Drill: &drill.Drill{},
		Plants: []drill.Plant{{Position: "Mole", Late: []time.Duration{300 * time.Millisecond}}},
		Steps:  []drill.Step{{Name: "person", When: drill.Trigger{From: 40 * time.Second}, Do: drill.Radio, From: "Quay", Text: "Hold.", Wants: drill.WantHold}}}}
}

// invite is what somebody of that role joins with.
func (r *rig) invite(name, role string) Join {
	r.t.Helper()
	i := r.Invitation()
	a, err := ParseAddress(i.Address)
	if err != nil {
		r.t.Fatal(err)
	}
	ro, err := crew.ParseRole(role)
	if err != nil {
		r.t.Fatal(err)
	}
	return Join{Address: a, Code: i.Codes[ro.Kind], Name: name, Role: ro}
}

func (r *rig) join(name, role string) *Member {
	r.t.Helper()
	return r.dial(r.invite(name, role))
}

// dial joins, and leaves with the test.
func (r *rig) dial(j Join) *Member {
	r.t.Helper()
	m, err := Dial(r.t.Context(), j)
	if err != nil {
		r.t.Fatal(err)
	}
	r.t.Cleanup(m.Close)
	return m
}

// eventually waits for something to be so.
func eventually(t testing.TB, what string, ok func() bool) {
	t.Helper()
	for limit := time.Now().Add(reftest.Patience); !ok(); time.Sleep(2 * time.Millisecond) {
		if time.Now().After(limit) {
			t.Fatalf("never came: %s", what)
		}
	}
}
