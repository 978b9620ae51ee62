package instruct

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"strings"
	"testing"
	"time"

	"drylane/show/drill"
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
	r := newRig(t, func(c *Config) { c.patience = 500 * time.Millisecond })
	stuck := r.raw()
	fmt.Fprintln(stuck, `{"drylane_instructor":3}`)
	good := r.dial()
	long := strings.Repeat("w", MaxText)
	for i := range 4000 { // more than any socket holds
		e := note(i)
		e.Data.Reason, e.Data.Track, e.Data.Output = long, long, long
		r.log.Add(e)
		if i%50 == 0 { // far less than a socket holds: the good one is never late
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
	fmt.Fprintln(gone, `{"drylane_instructor":3}`)
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

// TestBrokenOff: a connection that breaks off without a goodbye is told as such.
func TestBrokenOff(t *testing.T) {
	r := newRig(t, nil)
	c := r.dial()
	wait(t, c, "a state", func(v View) bool { return !v.At.IsZero() })
	r.hangUp()
	v := wait(t, c, "the end", func(v View) bool { return v.Ended != "" })
	if !strings.Contains(v.Ended, "the connection broke off") || v.State.State != "safe" {
		t.Errorf("%+v", v)
	}
	if err := c.Ask(Request{Do: drill.MusicOff}); err == nil || !strings.Contains(err.Error(), "the trainee's side does not take it") {
		t.Errorf("asked of nobody: %v", err)
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
		{"another version", `{"drylane_instructor":99}`, "", "speaks version 99, the trainee's side 3", true},
		{"no greeting", `GET / HTTP/1.1`, "", `wanted {"drylane_instructor":3}`, true},
		{"no JSON", `{"drylane_instructor":3}`, "hold!", "no request", false},
		{"half a line", `{"drylane_instructor":3}`, `{"do":"music off"`, "no request", false},
		{"two on a line", `{"drylane_instructor":3}`, `{"do":"music off"} {"do":"music on"}`, "something stands behind it", false},
		{"unknown field", `{"drylane_instructor":3}`, `{"do":"music off","now":true}`, `unknown field "now"`, false},
		{"unknown deed", `{"drylane_instructor":3}`, `{"do":"fire"}`, `found "fire"; wanted one of radio, go, no-go, back, music off`, false},
		{"long line", `{"drylane_instructor":3}`, `{"do":"radio","text":"` + strings.Repeat("x", MaxLine), "more than 196608 bytes", true},
		{"long greeting", strings.Repeat("x", MaxLine), "", "more than 196608 bytes", true},
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
