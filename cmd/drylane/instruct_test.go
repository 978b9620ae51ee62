package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/crew"
	"drylane/playback/deck"
	"drylane/playback/folder"
	"drylane/playback/knock"
	"drylane/playback/output"
	"drylane/show"
	roles "drylane/show/crew"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/show/timebase"
	"drylane/testdata"
	"drylane/testdata/reftest"
)

// An instructed run is the demo show on the silent clock, in a drill that does
// nothing by itself, with its door open to trainers. What they ask for is done in the
// run, and goes to did.
type instructed struct {
	*crew.Lead
	deck *deck.Deck
	did  chan drill.Step
	post *knock.Post
	path string // of its notice
}

// An obeyed run tells of what trainers ask for.
type obeyed struct {
	*deck.Deck
	did chan drill.Step
}

func (o obeyed) Instruct(s drill.Step, from session.Data) {
	o.Deck.Instruct(s, from)
	o.did <- s
}

func runInstructed(t *testing.T) *instructed {
	t.Helper()
	l, err := folder.OpenFS("demo", testdata.Demo())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	rate := l.Music.Rate()
	plan := show.NewPlan(l.Show.Cues, l.Show.Console, rate, timebase.Frame(l.Music.Len()))
	out := output.Silent(output.Options{Rate: rate, Speed: 1}, time.Now)
	var file bytes.Buffer
	header := session.Header{Program: "drylane test", Title: l.Show.Title, Soundtrack: session.Soundtrack{Rate: rate, Frames: int64(plan.Length)},
		Lanes: l.Show.Console.Lanes, Cues: session.CuesOf(plan, l.Show.Cues)}
	w, err := session.NewWriter(&file, nil, header)
	if err != nil {
		t.Fatal(err)
	}
	gate := new(crew.Gate)
	r := &instructed{did: make(chan drill.Step, 10)}
	r.deck = deck.New(deck.Config{Plan: plan, Cues: l.Show.Cues, Music: l.Music, Output: out, Quiet: true,
		Log: w, LogCues: header.Cues, OnEntry: gate.Entry, Director: drill.NewDirector((&drill.Drill{}).Draw(1), rate),
		Reopen: func() (playback.Output, error) {
			return output.Silent(output.Options{Rate: rate, Speed: 1}, time.Now), nil
		},
		Now: time.Now, Speed: 1})
	r.Lead, err = crew.Open(crew.Config{Program: "drylane test", Title: l.Show.Title, Drill: "a drill", Plan: plan, Cues: l.Show.Cues,
		Run: obeyed{r.deck, r.did}, Gate: gate, Listen: "127.0.0.1:0", Only: roles.Trainer, Lost: show.LostGoesOn,
		Training: crew.Training{Drill: "Person in the fallout area", Positions: l.Show.Positions}})
	if err != nil {
		t.Fatal(err)
	}
	t.Setenv("XDG_RUNTIME_DIR", t.TempDir())
	r.post, err = knock.Put(knock.Notice{PID: os.Getpid(), Show: l.Show.Title}, func() ([]byte, error) { return r.Invitation().JSON(), nil })
	if err != nil {
		t.Fatal(err)
	}
	r.path = knock.Named(fmt.Sprint(os.Getpid()))
	ran := make(chan error, 1)
	go func() { ran <- r.deck.Run(t.Context()) }()
	t.Cleanup(func() {
		r.deck.Quit()
		if err := <-ran; err != nil {
			t.Error(err)
		}
		r.post.Close()
		r.Close()
	})
	return r
}

func (r *instructed) do(a show.Action, reason string) {
	r.deck.Command(show.Command{Action: a, Reason: reason, Anyway: true}, time.Now())
}

// asked returns what an instructor asked for.
func (r *instructed) asked(t *testing.T) drill.Step {
	t.Helper()
	select {
	case s := <-r.did:
		return s
	case <-time.After(reftest.Patience):
		t.Fatal("the instructor's request never came")
		panic("unreachable")
	}
}

// TestOnlyDrill: one drill is taken, of several the person is told how to name one.
func TestOnlyDrill(t *testing.T) {
	a := knock.Found{Path: "/run/4711.drill", Notice: knock.Notice{PID: 4711, Show: "Harbour Evening", Drill: "A plain start"}}
	b := knock.Found{Path: "/run/12.drill", Notice: knock.Notice{PID: 12, Show: "Second Show"}}
	c := knock.Found{Path: "/run/13.drill", Err: errors.New("found version 9 of a notice")}
	for _, x := range []struct {
		found      []knock.Found
		path, want string
	}{
		{nil, "", "found no run that can be instructed"},
		{[]knock.Found{a}, "/run/4711.drill", ""},
		{[]knock.Found{b, a, c}, "", "found 3 runs; wanted one of them: drylane instruct PROCESS\n" +
			"  process  drill          show\n  12       -              Second Show\n  4711     A plain start  Harbour Evening\n" +
			"  /run/13.drill: found version 9 of a notice"},
	} {
		path, err := onlyDrill(x.found)
		if path != x.path || (err == nil) != (x.want == "") || err != nil && !strings.HasPrefix(err.Error(), x.want) {
			t.Errorf("%d runs: %q, %v", len(x.found), path, err)
		}
	}
}

// TestRealTimeInstruct drives the instructor's side in a real terminal
// beside a real run: watch, speak, call a fault, end the drill, stay when the
// trainee's side goes.
func TestRealTimeInstruct(t *testing.T) {
	reftest.RealTime(t)
	if testing.Short() {
		t.Skip("builds the program and runs it in real time")
	}
	r := runInstructed(t)
	x := openTerminal(t, 82, 24, "instruct", r.path)
	x.sees("SAFE", "INSTRUCTOR", "Person in the fallout area", "none: all works", "the trainee has not tapped")
	r.do(show.Arm, "")
	x.sees("ARMED", "armed")
	r.do(show.Start, "")
	x.sees("RUNNING", "started")
	r.deck.Do(show.ScriptAction{Kind: show.KindTap}, time.Now())
	x.sees("taps: 1")
	x.press("r", "Right", "Enter")
	if s := r.asked(t); s.Do != drill.Radio || s.From != "Quay" || s.Wants != drill.WantHold {
		t.Errorf("asked for %+v", s)
	}
	x.sees("done: radio, Quay: Hold, hold, hold.", "by hand: Quay:", "[wants hold:")
	r.do(show.Hold, "person in the fallout area")
	x.sees("HELD", "HELD: person in the fallout")
	x.press("f", "Down", "Down", "Enter")
	if s := r.asked(t); s.Do != drill.Dead || s.Group.Name != "Quay" {
		t.Errorf("asked for %+v", s)
	}
	x.sees("FAULTS Quay dead")
	x.press("f", "Down", "Down", "Down", "Down", "Down", "Down", "Enter")
	r.do(show.Resume, "")
	x.sees("device lost, Quay dead", "by hand: device lost", "LOST: no sound device")
	x.press("C-z")
	x.sees("stopped by the terminal")
	x.press("-l", "fg")
	x.press("Enter")
	x.sees("INSTRUCTOR", "FAULTS device lost, Quay dead")
	r.asked(t)
	x.press("t")
	x.press("-l", "Go on when ready")
	x.press("Tab", "Tab", "Enter")
	if s := r.asked(t); s.Text != "Go on when ready" || s.Wants != drill.WantResume {
		t.Errorf("asked for %+v", s)
	}
	x.press("x")
	x.sees("end this drill? y / n")
	x.press("y")
	if s := r.asked(t); s.Do != drill.Over {
		t.Errorf("asked for %+v", s)
	}
	x.sees("SAFE", "CUT: the drill is over")
	r.Close()
	x.sees("GONE", "the run has ended on the trainee's side")
	x.press("q")
}

// TestRealTimeDrillWithAnInstructor: trainee and instructor at two terminals. The
// instructor finds the drill, is heard, and ends it; nothing is left behind.
func TestRealTimeDrillWithAnInstructor(t *testing.T) {
	reftest.RealTime(t)
	if testing.Short() {
		t.Skip("builds the program and runs it in real time")
	}
	base := t.TempDir()
	t.Setenv("XDG_RUNTIME_DIR", base)
	trainee := openTerminal(t, 120, 36, "drill", "run", "plain-start", "--out", "silent")
	trainee.sees("It is NO firing system")
	trainee.press("x")
	trainee.sees("any key goes on; i shows this again")
	trainee.press("x")
	instructor := openTerminal(t, 121, 36, "instruct")
	instructor.sees("SAFE", "INSTRUCTOR", "Harbour Evening")
	trainee.press("a")
	instructor.sees("ARMED")
	trainee.press("Enter")
	instructor.sees("RUNNING")
	instructor.press("r", "Enter")
	instructor.sees("done: radio", "by hand: Mole: Hold, hold, hold.")
	trainee.sees("Hold, hold, hold. Person in the fallout area.")
	trainee.press("Space")
	instructor.sees("HELD")
	instructor.press("x", "y")
	trainee.sees("the drill is over")
	trainee.press("q")
	trainee.sees("session log:")
	instructor.sees("GONE", "the run has ended on the trainee's side")
	if list, err := os.ReadDir(filepath.Join(base, "drylane")); err != nil || len(list) != 0 {
		t.Errorf("left behind: %v, %v", list, err)
	}
}
