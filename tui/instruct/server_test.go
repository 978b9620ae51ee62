package instruct

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"os"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/tui/deck"
)

// TestTwoInstructors: both are told the same, either can ask, and the end of
// the run is said to both.
func TestTwoInstructors(t *testing.T) {
	r := newRig(t, nil)
	r.log.Add(note(1))
	a, b := r.dial(), r.dial()
	r.log.Add(note(2))
	for _, c := range []*Client{a, b} {
		if h := c.Hello; h.Show != "Harbour Evening" || h.Drill != "One thing" || h.Cues != 6 || h.PID != os.Getpid() ||
			h.Length != 10*time.Second || fmt.Sprint(h.Positions) != "[Quay Mole]" {
			t.Errorf("told %+v", h)
		}
		v := wait(t, c, "a state and both notes", func(v View) bool { return !v.At.IsZero() && len(v.Events) == 2 })
		if v.State.State != "safe" || v.State.For != 3*time.Second || v.Events[1].Data.Text != "note 2" {
			t.Errorf("view %+v", v)
		}
	}
	ask := Request{Do: drill.Radio, From: "Quay", Text: "Person in the fallout area. Hold.", Wants: drill.WantHold}
	if err := b.Ask(ask); err != nil {
		t.Fatal(err)
	}
	want := drill.Step{Do: drill.Radio, From: "Quay", Text: "Person in the fallout area. Hold.", Wants: drill.WantHold, Chance: 1}
	if got := receive(t, "the deed", r.did); got != want {
		t.Errorf("did %+v", got)
	}
	v := wait(t, b, "the answer", func(v View) bool { return v.Answered == 1 })
	if v.Refused || v.Answer != "radio, Quay: Person in the fallout area. Hold." || a.View().Answered != 0 {
		t.Errorf("answered %q", v.Answer)
	}
	r.Close()
	r.Close() // once more does nothing
	for _, c := range []*Client{a, b} {
		wait(t, c, "the goodbye", func(v View) bool { return v.Ended == goodbye })
	}
	if _, err := os.Lstat(r.Path()); !os.IsNotExist(err) {
		t.Errorf("the socket is still there: %v", err)
	}
	if _, err := Dial(t.Context(), r.Path()); err == nil || !strings.Contains(err.Error(), "no run listens there") {
		t.Errorf("connected to a run that is over: %v", err)
	}
}

// TestEndOfTheProgram: the end of the context is the end of the server.
func TestEndOfTheProgram(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	r := newRig(t, nil)
	cfg := r.cfg
	cfg.Path += "2.sock"
	cfg.left = nil
	s, err := Serve(ctx, cfg)
	if err != nil {
		t.Fatal(err)
	}
	c, err := Dial(ctx, s.Path())
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	cancel()
	wait(t, c, "the goodbye", func(v View) bool { return v.Ended == goodbye })
}

// TestStuckInstructor: one who reads nothing is dropped, and meanwhile nobody
// else notices.
func TestStuckInstructor(t *testing.T) {
	r := newRig(t, func(c *Config) { c.patience = 50 * time.Millisecond })
	stuck := r.raw()
	fmt.Fprintln(stuck, `{"drylane_instructor":1}`)
	good := r.dial()
	long := strings.Repeat("w", MaxText)
	for i := range 4000 { // more than any socket holds
		e := note(i)
		e.Data.Reason, e.Data.Words, e.Data.Output = long, long, long
		r.log.Add(e)
		if i%200 == 0 { // the good one may be slow, but it reads
			wait(t, good, "the note", func(v View) bool { n := len(v.Events); return n > 0 && v.Events[n-1].N == int64(i) })
		}
	}
	receive(t, "the end of the stuck one", r.left)
	wait(t, good, "the last note", func(v View) bool { n := len(v.Events); return n > 0 && v.Events[n-1].N == 3999 })
	if n := r.instructors(); n != 1 {
		t.Errorf("%d instructors are left", n)
	}
}

// TestVanished: one who goes away in the middle of a line is forgotten; what
// was not a whole line was not asked for.
func TestVanished(t *testing.T) {
	r := newRig(t, nil)
	gone, good := r.raw(), r.dial()
	fmt.Fprintln(gone, `{"drylane_instructor":1}`)
	gone.until("a state", func(m Message) bool { return m.State != nil })
	fmt.Fprint(gone, `{"do":"over"}`)
	gone.Close()
	receive(t, "the end of the one that vanished", r.left)
	r.log.Add(note(7))
	wait(t, good, "the note", func(v View) bool { return len(v.Events) == 1 })
	if len(r.did) != 0 {
		t.Errorf("did %+v", <-r.did)
	}
}

// TestStrangers: the process of another user gets a line and no more.
func TestStrangers(t *testing.T) {
	r := newRig(t, func(c *Config) {
		c.own = func(*net.UnixConn) error { return errors.New("only the user who runs the drill can instruct it") }
	})
	c := r.raw()
	c.until("the refusal", refusal)
	if c.lines.Scan() {
		t.Errorf("then it said %s", c.lines.Bytes())
	}
	if _, err := Dial(t.Context(), r.Path()); err == nil || !strings.Contains(err.Error(), "only the user who runs the drill") {
		t.Errorf("connected: %v", err)
	}
	if r.instructors() != 0 {
		t.Errorf("%d instructors", r.instructors())
	}
}

func TestTooMany(t *testing.T) {
	r := newRig(t, nil)
	for range MaxInstructors {
		wait(t, r.dial(), "a state", func(v View) bool { return !v.At.IsZero() })
	}
	if _, err := Dial(t.Context(), r.Path()); err == nil || !strings.Contains(err.Error(), "4 instructors are connected already") {
		t.Errorf("the fifth: %v", err)
	}
}

// TestBadLines: what cannot be understood is refused in a line; what can no
// longer be told apart ends the conversation.
func TestBadLines(t *testing.T) {
	for _, c := range []struct {
		name, greeting, send, want string
		ends                       bool
	}{
		{"another version", `{"drylane_instructor":99}`, "", "speaks version 99, the trainee's side 1", true},
		{"no greeting", `GET / HTTP/1.1`, "", `wanted {"drylane_instructor":1}`, true},
		{"no JSON", `{"drylane_instructor":1}`, "hold!", "no request", false},
		{"half a line", `{"drylane_instructor":1}`, `{"do":"music off"`, "no request", false},
		{"two on a line", `{"drylane_instructor":1}`, `{"do":"music off"} {"do":"music on"}`, "something stands behind it", false},
		{"unknown field", `{"drylane_instructor":1}`, `{"do":"music off","now":true}`, `unknown field "now"`, false},
		{"unknown deed", `{"drylane_instructor":1}`, `{"do":"fire"}`, `found "fire"; wanted one of radio, music off`, false},
		{"long line", `{"drylane_instructor":1}`, `{"do":"radio","text":"` + strings.Repeat("x", MaxLine), "more than 65536 bytes", true},
		{"long greeting", strings.Repeat("x", MaxLine), "", "more than 65536 bytes", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := newRig(t, nil)
			raw := r.raw()
			fmt.Fprintln(raw, c.greeting)
			if c.send != "" {
				fmt.Fprintln(raw, c.send)
			}
			if m := raw.until("the refusal", refusal); !strings.Contains(m.Refused, c.want) {
				t.Errorf("refused with %q", m.Refused)
			}
			if c.ends {
				receive(t, "the end", r.left)
				return
			}
			fmt.Fprintln(raw, `{"do":"music off"}`)
			raw.until("what is taken", func(m Message) bool { return m.Taken == "music off" })
		})
	}
}

// TestSlowAct: an instructor whose request is stuck keeps neither the run nor
// the end of it waiting.
func TestSlowAct(t *testing.T) {
	release, called := make(chan struct{}), make(chan struct{})
	t.Cleanup(func() { close(release) })
	r := newRig(t, func(c *Config) {
		c.Act = func(drill.Step) { close(called); <-release }
	})
	c := r.dial()
	c.Ask(Request{Do: drill.MusicOff})
	receive(t, "the request", called)
	r.log.Add(note(1))
	wait(t, c, "the note", func(v View) bool { return len(v.Events) == 1 })
	ended := make(chan struct{})
	go func() { r.Close(); close(ended) }()
	receive(t, "the end", ended)
}

// TestState holds what is told of a run against what its cue list says.
func TestState(t *testing.T) {
	cues := testCues()
	plan := testPlan(cues)
	tr := show.NewTransport(plan)
	do := func(c show.Command, at show.Frame) {
		t.Helper()
		if _, err := tr.Do(c, at, nil); err != nil {
			t.Fatal(err)
		}
	}
	do(show.Command{Action: show.Arm}, 0)
	do(show.Command{Action: show.Start}, 0)
	do(show.Command{Action: show.StandDown, Group: show.Group{By: show.LanesByPosition, Name: "Mole"}}, 100)
	tr.Advance(3400, nil) // cue 1 broke at 2.0 s; cue 2 passed; cue 3 fires at 3.5 s
	do(show.Command{Action: show.Nudge, Step: 300 * time.Millisecond}, 3400)
	snap := &deck.Snapshot{Transport: *tr, Wall: epoch, Since: epoch.Add(-3400 * time.Millisecond), Rendered: 4000, Speed: 1,
		Taps: []deck.Tap{{At: 2040, Cue: 0, Late: -40}}, Output: "tape"}
	cfg := &Config{Plan: plan, Cues: cues, Snapshot: func() *deck.Snapshot { return snap }, Now: func() time.Time { return epoch }}
	s := (&teller{cfg: cfg}).state()
	ms := func(n int) time.Duration { return time.Duration(n) * time.Millisecond }
	if s.State != "running" || s.For != ms(3400) || s.Heard != ms(3400) || s.Gone != 2 || s.Taps != 1 || s.Output != "tape" {
		t.Errorf("state %+v", s)
	}
	if s.InForce != 0 || s.Asked != ms(300) || s.After != "3" || s.Drift != "tap again: the nudge is new" {
		t.Errorf("nudge %v, asked %v after %q, drift %q", s.InForce, s.Asked, s.After, s.Drift)
	}
	want := []NextCue{
		{"3", "Quay", "red peony", ms(100), false, true},
		{"4", "Mole", "red peony", ms(800), true, false},
		{"5", "Quay", "red peony", ms(1800), false, false},
		{"6", "Mole", "red peony", ms(2800), true, false},
	}
	if fmt.Sprint(s.Next) != fmt.Sprint(want) {
		t.Errorf("next\n got %+v\nwant %+v", s.Next, want)
	}
	if up := []UpCue{{"1", "Quay", 0, ms(100)}}; fmt.Sprint(s.Up) != fmt.Sprint(up) || s.UpAll != 1 {
		t.Errorf("up %+v of %d", s.Up, s.UpAll)
	}
}

// TestLog: the cue list's own events are left out, only the latest are kept,
// and nobody is told anything twice.
func TestLog(t *testing.T) {
	var l Log
	since := func(n int64) (events []session.Entry, next int64) {
		lines, next := l.since(n)
		for _, b := range lines {
			var m Message
			if err := json.Unmarshal(b, &m); err != nil {
				t.Fatal(err)
			}
			events = append(events, *m.Event)
		}
		return events, next
	}
	l.Add(session.Entry{Kind: show.EventFired.String()})
	l.Add(session.Entry{Kind: session.KindTap})
	if first, n := since(0); len(first) != 1 || first[0].Kind != session.KindTap || n != 1 {
		t.Fatalf("told %+v, next is %d", first, n)
	}
	for i := range 2 * maxKept {
		l.Add(note(i))
	}
	late, next := since(0)
	if len(late) != maxKept || late[0].N != maxKept || next != 2*maxKept+1 {
		t.Errorf("a late one is told %d, from %d, next is %d", len(late), late[0].N, next)
	}
	if some, _ := since(next - 3); len(some) != 3 || some[2].N != 2*maxKept-1 {
		t.Errorf("of the last three: %+v", some)
	}
	if none, _ := since(next); len(none) != 0 {
		t.Errorf("told twice: %+v", none)
	}
}
