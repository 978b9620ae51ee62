package crew

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/deck"
	"drylane/playback/output"
	"drylane/show"
	"drylane/show/crew"
	"drylane/show/drill"
	"drylane/show/session"
)

// TestTrainer: what a trainer asks for goes to a drill, with who asked and when, and to
// nothing else.
func TestTrainer(t *testing.T) {
	plain := newRig(t, nil)
	m := plain.join("Tom", "trainer")
	m.Do(crew.Radio, Deed{From: "field", Text: "No music out here."})
	eventually(t, "refused", func() bool { return strings.Contains(m.View().Answer.Refused, "this is no drill") })

	r := newRig(t, aDrill)
	m = r.join("Tom", "trainer")
	eventually(t, "the clock is known", func() bool { return m.View().Clocked })
	ask := func(what crew.Deed, d Deed) Answer {
		n := m.View().Answers
		m.Do(what, d)
		eventually(t, "answered", func() bool { return m.View().Answers > n })
		return m.View().Answer
	}
	if a := ask(crew.Radio, Deed{From: "field", Text: "No music out here.", Wants: "hold"}); a.Done != "radio, field: No music out here." {
		t.Errorf("%+v", a)
	}
	if a := ask(crew.Fault, Deed{Do: "dead", By: "position", Of: "Pier"}); !strings.Contains(a.Refused, `no cue has the position "Pier"`) {
		t.Errorf("%+v", a)
	}
	if a := ask(crew.Fault, Deed{Do: "music off"}); a.Done != "music off" || a.Refused != "" {
		t.Errorf("%+v", a)
	}
	steps := r.run.instructed()
	want := []drill.Step{{Do: drill.Radio, From: "field", Text: "No music out here.", Wants: drill.WantHold, Chance: 1}, {Do: drill.MusicOff, Chance: 1}}
	if !slices.Equal(steps, want) {
		t.Errorf("the drill was told %+v", steps)
	}
	for _, d := range r.run.asked {
		if d.Member != "Tom" || d.Role != "trainer" || d.When == nil || time.Since(*d.When) > time.Minute || d.BoundNS <= 0 {
			t.Errorf("asked for by %+v", d)
		}
	}
}

// TestTrainersAreTold: all trainers are told the same: what is planned, what has happened
// before they came and since, and how the run stands.
func TestTrainersAreTold(t *testing.T) {
	r := newRig(t, aDrill)
	dead := session.Entry{N: 2, Kind: session.KindDrill, By: show.ByEngine, Data: session.Data{Step: "quiet", Do: "dead", Wants: "stand down", Late: []string{"7"}}}
	radio := session.Entry{N: 3, Kind: session.KindDrill, By: show.ByInstructor, Data: session.Data{Do: "radio", From: "Quay", Text: "Hold.", Wants: "hold", Member: "Tom"}}
	for _, e := range []session.Entry{note(1), dead, radio} {
		r.run.gate.Entry(e)
	}
	tom, una, sue := r.join("Tom", "trainer"), r.join("Una", "trainer"), r.join("Sue", "spotter")
	has := func(m *Member, numbers ...int64) func() bool {
		return func() bool {
			var got []int64
			for _, e := range m.View().Events {
				got = append(got, e.N)
			}
			return slices.Equal(got, numbers)
		}
	}
	for _, m := range []*Member{tom, una} {
		eventually(t, "what has happened", has(m, 1, 2, 3))
		eventually(t, "how the run stands", func() bool { return len(m.View().Watched.Next) == 6 && m.View().Age > 0 })
		eventually(t, "what is planned", func() bool { return m.View().Planned.Drill != "" })
		if p := m.View().Planned; p.Drill != "One thing" || fmt.Sprint(p.Positions) != "[Quay Mole]" || len(p.Steps) != 1 ||
			p.Steps[0].What != "Quay: Hold." || fmt.Sprint(p.Planted) != "[Mole 0.30 s late]" {
			t.Errorf("planned: %+v", p)
		}
	}
	dead.N, radio.N = 4, 5
	for _, e := range []session.Entry{dead, radio, note(6)} {
		r.run.gate.Entry(e)
	}
	for _, m := range []*Member{tom, una} {
		eventually(t, "what happens", has(m, 1, 2, 3, 4, 5, 6))
		eventually(t, "all of it", func() bool { e := m.View().Events; return e[3].Data.Step == "quiet" && e[4].Data.Member == "Tom" })
	}
	eventually(t, "what the spotter hears", has(sue, 5, 6))
	if v := sue.View(); v.Events[0].Data.From != "Quay" || fmt.Sprint(v.Events[0].Data) != fmt.Sprint(session.Data{Do: "radio", From: "Quay", Text: "Hold."}) ||
		v.Events[0].By != "" || fmt.Sprint(v.Planned, v.Watched) != fmt.Sprint(Planned{}, Watched{}) || v.Welcome.Drill != "a drill" {
		t.Errorf("the spotter is told of the drill: %+v", v)
	}
}

// TestHistoryOnce: a trainer that comes back is told everything again, of which nothing
// stands twice; one that comes again and again has to wait for it.
func TestHistoryOnce(t *testing.T) {
	r := newRig(t, aDrill)
	for i := range 5 {
		r.run.gate.Entry(note(i + 1))
	}
	eventually(t, "that is news no more", func() bool {
		r.run.gate.mu.Lock()
		defer r.run.gate.mu.Unlock()
		return r.run.gate.told == 5
	})
	m := r.join("Tom", "trainer")
	eventually(t, "what has happened", func() bool { return m.View().News == 5 })
	m.put(hello, &Hello{Version: Version, Name: "Tom", Role: "trainer"})
	eventually(t, "all of it again", func() bool { return m.View().News == 10 })
	if n := len(m.View().Events); n != 5 {
		t.Errorf("%d events of 5", n)
	}
	var list trainers
	for i, want := range []int{1, 0, 0, 1} {
		list.came("x")
		if got := list.due(epoch.Add(time.Duration(i) * anewGap * 2 / 5)); len(got) != want {
			t.Errorf("time %d: told %d times; wanted %d", i, len(got), want)
		}
	}
}

// TestViewStands: a view is not changed by what comes after it.
func TestViewStands(t *testing.T) {
	var v View
	var views []View
	for _, n := range []int64{3, 5, 4, 9, 1, 5, 7, 10} {
		v.event(session.Entry{N: n}, n == 5)
		views = append(views, v)
	}
	want := []string{"3", "3 5", "3 4 5", "3 4 5 9", "1 3 4 5 9", "1 3 4 5 9", "1 3 4 5 7 9", "1 3 4 5 7 9 10"}
	for i := range views {
		var got []string
		for _, e := range views[i].Events {
			got = append(got, fmt.Sprint(e.N))
		}
		if s := strings.Join(got, " "); s != want[i] {
			t.Errorf("view %d has %q; wanted %q", i, s, want[i])
		}
	}
}

// TestTooManyTrainers: there are four at most, and a place is free again for who has left
// or is lost. One without a name is given one.
func TestTooManyTrainers(t *testing.T) {
	r := newRig(t, aDrill)
	var all []*Member
	for i := range MaxTrainers {
		m := r.join("", "trainer")
		if want := strings.TrimSuffix(fmt.Sprint("Trainer ", i+1), " 1"); m.View().Welcome.Name != want {
			t.Errorf("called %q; wanted %q", m.View().Welcome.Name, want)
		}
		all = append(all, m)
	}
	if _, err := Dial(t.Context(), r.invite("Eve", "trainer")); err == nil || !strings.Contains(err.Error(), "4 trainers are there already") {
		t.Errorf("the fifth: %v", err)
	}
	all[1].conn.Close() // and it never comes back
	eventually(t, "one is lost", func() bool { return len(r.run.logged(crew.IsLost)) == 1 })
	r.join("Eve", "trainer")
	if _, err := Dial(t.Context(), r.invite("", "safety")); err == nil || !strings.Contains(err.Error(), "found no name") {
		t.Errorf("safety without a name: %v", err)
	}
}

// TestNotAwaited: nobody waits for a trainer to acknowledge a hold; another is awaited.
func TestNotAwaited(t *testing.T) {
	r := newRig(t, aDrill)
	tom := r.join("Tom", "trainer")
	r.join("Ben", "spotter")
	for _, a := range []show.Action{show.Arm, show.Start, show.Hold} {
		r.run.do(a)
	}
	eventually(t, "it is held", func() bool { return tom.View().State.Hold == 1 })
	eventually(t, "Ben alone is awaited", func() bool { return slices.Equal(tom.View().State.Waits, []string{"Ben"}) && r.run.gate.Unheard() == 1 })
}

// TestOnlyTrainers: a lead for trainers alone has no code for anybody else.
func TestOnlyTrainers(t *testing.T) {
	r := newRig(t, func(c *Config) { aDrill(c); c.Only = crew.Trainer })
	if codes := r.Invitation().Codes; len(codes) != 1 || codes[crew.Trainer] == "" {
		t.Errorf("codes %v", codes)
	}
	r.join("Tom", "trainer")
	for _, code := range []string{"safety-", "safety-0000-0000", "trainer-"} {
		j := r.invite("Eve", "trainer")
		j.Code = code
		if kind, _ := kindOf(code); kind != crew.Trainer {
			j.Role = crew.Role{Kind: kind}
		}
		if m, err := Dial(t.Context(), j); err == nil {
			m.Close()
			t.Errorf("%q lets in", code)
		}
	}
}

// TestInvitationHere: somebody at the lead's own machine joins by loopback.
func TestInvitationHere(t *testing.T) {
	i := Invitation{Address: "192.168.1.20:7411/X", Others: []string{"10.0.0.7:7411/X", "127.0.0.1:7411/X"}}
	if got := i.Here(); got.Address != "127.0.0.1:7411/X" || len(got.Others) != 0 {
		t.Errorf("%+v", got)
	}
	i.Others = nil
	if got := i.Here(); got.Address != "192.168.1.20:7411/X" {
		t.Errorf("%+v", got)
	}
	r := newRig(t, func(c *Config) { c.Listen = ":0" })
	a, err := ParseAddress(r.Invitation().Here().Address)
	if err != nil || !strings.HasPrefix(a.Host, "127.0.0.1:") {
		t.Errorf("%+v, %v", a, err)
	}
}

// TestHostileTrainer: whatever a trainer's machine publishes, the run neither starts nor
// resumes, is nudged or stood down, and nobody is struck off.
func TestHostileTrainer(t *testing.T) {
	r := newRig(t, aDrill)
	ada := r.join("Ada", "safety")
	eve := r.stranger(crew.Trainer)
	eve.Publish(fromMember+eve.id+".hello", pack(&Hello{Version: Version, Name: "Eve", Role: "trainer"}))
	eve.Flush()
	eventually(t, "joined", func() bool { return len(r.Board().Lines) == 2 })
	for _, before := range []show.Action{show.Cut, show.Arm, show.Start} { // safe, armed, held
		if r.run.do(before); before == show.Start {
			r.run.do(show.Hold)
		}
		was := r.run.Snapshot().Transport
		for _, subject := range subjects(eve.id, ada.id) {
			for _, d := range []Deed{{}, {Text: "x"}, {Do: "resume"}, {Do: "start"}, {Do: "nudge", Text: "0.5"}, {By: show.LanesByPosition, Of: "Quay"}} {
				if subject != fromMember+eve.id+"."+string(crew.Leave) && subject != fromMember+eve.id+"."+string(crew.Hold) {
					eve.Publish(subject, pack(&d))
				}
			}
			eve.Flush()
			time.Sleep(time.Millisecond) // or it counts as a flood, which is another test
		}
		ada.Do(crew.Note, Deed{Text: before.String()})
		eventually(t, "all of it was taken", func() bool {
			return slices.ContainsFunc(r.run.logged(crew.HasNoted), func(d session.Data) bool { return d.Text == before.String() })
		})
		now := r.run.Snapshot().Transport
		if now.State() != was.State() || now.Asked() != was.Asked() || r.downs(&now) != 0 || len(r.run.instructed()) != 0 || len(r.run.logged(crew.WasStruckOff)) != 0 {
			t.Errorf("a run that was %v is %v, nudged by %v; steps %+v", was.State(), now.State(), now.Asked(), r.run.instructed())
		}
	}
}

// TestOneAfterTheOther: a trainer's machine that asks for far too many steps is told so,
// and the run is not filled with them.
func TestOneAfterTheOther(t *testing.T) {
	run := newFakeRun(testPlan(testCues()))
	l := &Lead{cfg: Config{Drill: "a drill", Plan: run.t.Plan(), Run: run}, began: time.Now()}
	ask := func(id string, at time.Duration) error {
		_, err := l.instruct(message{id: id, deed: crew.Fault, at: at}, crew.Member{Name: id}, Deed{Do: "music off"})
		return err
	}
	for i := range 3 * mostSteps {
		if err := ask("Tom", time.Second+time.Duration(i)*time.Millisecond); (err == nil) != (i < mostSteps) {
			t.Errorf("thing %d: %v", i+1, err)
		}
	}
	for id, at := range map[string]time.Duration{"Una": 1500 * time.Millisecond, "Tom": 3 * time.Second} {
		if err := ask(id, at); err != nil {
			t.Errorf("%s at %v: %v", id, at, err)
		}
	}
	if n := len(run.instructed()); n != mostSteps+2 {
		t.Errorf("%d steps", n)
	}
}

// TestScoreWaits: a score that waits for the disk keeps neither a HOLD nor the end of the
// run waiting.
func TestScoreWaits(t *testing.T) {
	release, asked := make(chan struct{}), make(chan struct{}, 1)
	t.Cleanup(func() { close(release) })
	r := newRig(t, func(c *Config) {
		aDrill(c)
		c.Training.Score = func() string { asked <- struct{}{}; <-release; return "" }
	})
	tom := r.join("Tom", "trainer")
	<-asked
	r.run.do(show.Arm)
	r.run.do(show.Start)
	tom.Hold("boat in the line")
	eventually(t, "the run is held", func() bool { return len(r.run.called()) == 1 && tom.View().State.Hold == 1 })
	ended := make(chan struct{})
	go func() { r.Close(); close(ended) }()
	<-ended
}

const runScript = `
+0   arm
+0   start
2.04 tap
2.5  nudge earlier 0.2
3.0  hold person in the fallout area
+2   stand down position Mole
+1   resume anyway
5.8  tap
`

// play plays the test show by a script, as fast as it can, and returns its session log.
// meet is called before and may let trainers in.
func play(t *testing.T, meet func(*deck.Deck, *Gate)) *session.Log {
	t.Helper()
	steps, err := show.ParseScript("script", strings.NewReader(runScript))
	if err != nil {
		t.Fatal(err)
	}
	cues := testCues()
	plan := show.NewPlan(cues, show.Console{Guard: show.DefaultGuard, NudgeLimit: show.DefaultNudgeLimit, Together: show.DefaultTogether}, rate, 10*rate)
	var file bytes.Buffer
	h := session.Header{Soundtrack: session.Soundtrack{Rate: rate, Frames: 10 * rate}, Cues: session.CuesOf(plan, cues)}
	w, err := session.NewWriter(&file, nil, h)
	if err != nil {
		t.Fatal(err)
	}
	gate := new(Gate)
	d := deck.New(deck.Config{Plan: plan, Cues: cues, Music: playback.NewSilence(10 * rate), Log: w, LogCues: h.Cues, OnEntry: gate.Entry,
		Output: output.Silent(output.Options{Rate: rate}, time.Now), Script: steps})
	if meet != nil {
		meet(d, gate)
	}
	if err := d.Run(t.Context()); err != nil {
		t.Fatal(err)
	}
	log, err := session.Read(&file)
	if err != nil {
		t.Fatal(err)
	}
	return log
}

// entries are a log's as text, those of the crew and their numbers left out.
func entries(log *session.Log) string {
	var b strings.Builder
	for _, e := range log.Entries {
		if e.Kind != session.KindCrew {
			e.N, e.Wall = 0, time.Time{}
			fmt.Fprintf(&b, "%s\n", pack(&e))
		}
	}
	return b.String()
}

// TestRunIsTheSame: a run that trainers watch is, but for what the log tells of them, the
// run that nobody watches.
func TestRunIsTheSame(t *testing.T) {
	alone := entries(play(t, nil))
	var watched *Member
	got := entries(play(t, func(d *deck.Deck, gate *Gate) {
		r := newRig(t, func(c *Config) { aDrill(c); c.Run, c.Gate = d, gate })
		watched = r.join("Tom", "trainer")
		r.join("Una", "trainer").Close()
	}))
	if got != alone || !strings.Contains(alone, `"kind":"ended"`) {
		t.Errorf("watched\n%s\nalone\n%s", got, alone)
	}
	var kinds []string
	eventually(t, "the end", func() bool {
		kinds = nil
		for _, e := range watched.View().Events {
			if e.Kind != session.KindCrew {
				kinds = append(kinds, e.Kind)
			}
		}
		return slices.Contains(kinds, session.KindClosed)
	})
	if want := "armed started tap nudged held stood down resumed tap ended closed"; strings.Join(kinds, " ") != want {
		t.Errorf("told of %v\nwant %s", kinds, want)
	}
}
