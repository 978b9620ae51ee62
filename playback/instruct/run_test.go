package instruct

import (
	"bytes"
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/deck"
	"drylane/playback/output"
	"drylane/show"
	"drylane/show/session"
)

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

// play plays the test show by a script, as fast as it can, and returns its
// session log. meet is called before and may let instructors in.
func play(t *testing.T, meet func(*deck.Deck, *Log)) string {
	t.Helper()
	steps, err := show.ParseScript("script", strings.NewReader(runScript))
	if err != nil {
		t.Fatal(err)
	}
	cues := testCues()
	plan := testPlan(cues)
	var file bytes.Buffer
	h := session.Header{Soundtrack: session.Soundtrack{Rate: rate, Frames: 10 * rate}, Cues: session.CuesOf(plan, cues)}
	w, err := session.NewWriter(&file, nil, h)
	if err != nil {
		t.Fatal(err)
	}
	var log Log
	d := deck.New(deck.Config{Plan: plan, Cues: cues, Music: playback.NewSilence(10 * rate), Log: w, LogCues: h.Cues, OnEntry: log.Add,
		Output: output.Silent(output.Options{Rate: rate}, time.Now), Script: steps})
	if meet != nil {
		meet(d, &log)
	}
	if err := d.Run(t.Context()); err != nil {
		t.Fatal(err)
	}
	return file.String()
}

// TestRunIsTheSame: a run that is watched, by one who reads, one who is stuck
// and one who goes away, is to the byte the run that nobody watches.
func TestRunIsTheSame(t *testing.T) {
	alone := play(t, nil)
	var watched *Client
	got := play(t, func(d *deck.Deck, log *Log) {
		r := newRig(t, func(c *Config) {
			c.Path = filepath.Join(privateFolder(t), "run.sock")
			c.Snapshot, c.Log, c.patience = d.Snapshot, log, 50*time.Millisecond
		})
		watched = r.dial()
		fmt.Fprintln(r.raw(), `{"drylane_instructor":1}`)
		r.dial().Close()
	})
	if got != alone || !strings.Contains(alone, `"kind":"ended"`) {
		t.Errorf("watched\n%s\nalone\n%s", got, alone)
	}
	v := wait(t, watched, "the end", func(v View) bool {
		return len(v.Events) > 0 && v.Events[len(v.Events)-1].Kind == session.KindClosed
	})
	var kinds []string
	for _, e := range v.Events {
		kinds = append(kinds, e.Kind)
	}
	if want := "armed started tap nudged held stood down resumed tap ended closed"; strings.Join(kinds, " ") != want {
		t.Errorf("told of %v\nwant %s", kinds, want)
	}
	if e := v.Events[2]; e.Data.Cue != "1" || *e.Data.LateMS != -40 {
		t.Errorf("the first tap: %+v", e.Data)
	}
}

// TestLive: a run by the wall clock is told as it goes on.
func TestLive(t *testing.T) {
	cues := testCues()
	plan := testPlan(cues)
	var file bytes.Buffer
	w, err := session.NewWriter(&file, nil, session.Header{Soundtrack: session.Soundtrack{Rate: rate}, Cues: session.CuesOf(plan, cues)})
	if err != nil {
		t.Fatal(err)
	}
	var log Log
	d := deck.New(deck.Config{Plan: plan, Cues: cues, Music: playback.NewSilence(10 * rate), Log: w, LogCues: session.CuesOf(plan, cues),
		OnEntry: log.Add, Output: output.Silent(output.Options{Rate: rate, Speed: 1}, time.Now), Now: time.Now, Speed: 1})
	ctx, cancel := context.WithCancel(t.Context())
	ran := make(chan error, 1)
	go func() { ran <- d.Run(ctx) }()
	defer func() { cancel(); receive(t, "the end of the run", ran) }()
	r := newRig(t, func(c *Config) { c.Snapshot, c.Log, c.Now = d.Snapshot, &log, time.Now })
	c := r.dial()
	state := func(s show.State) func(View) bool { return func(v View) bool { return v.State.State == s.String() } }
	wait(t, c, "safe", state(show.Safe))
	d.Command(show.Command{Action: show.Arm}, time.Now())
	wait(t, c, "armed", state(show.Armed))
	d.Command(show.Command{Action: show.Start}, time.Now())
	wait(t, c, "music", func(v View) bool { return v.State.State == "running" && v.State.Heard > 200*time.Millisecond })
	d.Do(show.ScriptAction{Kind: show.KindTap}, time.Now())
	wait(t, c, "the tap", func(v View) bool {
		return v.State.Taps == 1 && len(v.Events) == 3 && v.Events[2].Kind == session.KindTap
	})
	d.Command(show.Command{Action: show.Hold, Reason: "boat in the water"}, time.Now())
	v := wait(t, c, "the hold", state(show.Held))
	if !strings.HasPrefix(v.State.Drift, "too few taps") || v.State.Gone+len(v.State.Next) != 6 {
		t.Errorf("%+v", v.State)
	}
}
