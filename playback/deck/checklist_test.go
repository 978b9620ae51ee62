package deck

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/session"
)

// TestResumeTellsWhatItLeavesOpen: ticks are in the log, line by line, and the
// resume says how many lines were not ticked and how many effects were up by the
// list or unknown; a replay agrees, and every hold has its own checklist.
func TestResumeTellsWhatItLeavesOpen(t *testing.T) {
	cues := []show.Cue{
		{ID: "1", EffectAt: 500 * time.Millisecond, Burn: 3 * time.Second, Position: "Quay"},
		{ID: "2", EffectAt: 600 * time.Millisecond, Position: "Quay"},
	}
	r := newRig(t, &ramp{length: 4 * rate, breaksAt: 1 << 40}, cues, `+0 arm
+0 start
+0 tick
1 hold
+1 tick
+1 resume anyway
2 hold
+5 tick all
+0 tick
+0 resume anyway`, false)
	r.cfg.Checklist = []string{"crew clear", "cause gone"}
	if err := r.Run(t.Context()); err != nil {
		t.Fatal(err)
	}
	var told []string
	for _, e := range entriesOf(t, r) {
		switch e.Kind {
		case session.KindTicked:
			told = append(told, fmt.Sprintf("%s %d %s", e.By, e.Data.Count, e.Data.Text))
		case "resumed":
			told = append(told, fmt.Sprintf("resumed %d %d %d", e.Data.Unticked, e.Data.Up, e.Data.Unknown))
		}
	}
	const want = "script 1 crew clear, resumed 1 2 1, script 1 crew clear, script 2 cause gone, resumed 0 1 1"
	if got := strings.Join(told, ", "); got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
	log, err := session.Read(strings.NewReader(r.log.String()))
	if err != nil {
		t.Fatal(err)
	}
	for e, err := range log.Walk() {
		if err != nil {
			t.Fatal(err)
		}
		if e.Kind == "resumed" && (len(e.Events) == 0 || e.Command.Open != e.Data.Open()) {
			t.Errorf("replayed as %+v", e.Command)
		}
	}
}

// TestWhatAStateSaysIsIts: what is said of the event that begins a state is no older
// than the state, or a screen would drop it with what was said before.
func TestWhatAStateSaysIsIts(t *testing.T) {
	cues := []show.Cue{{ID: "1", EffectAt: 100 * time.Millisecond, Burn: time.Second, Position: "Quay"}}
	r := newRig(t, &ramp{length: 4 * rate, breaksAt: 1 << 40}, cues, "", true)
	for _, a := range []show.Action{show.Arm, show.Start, show.Cut} {
		r.command(a)
	}
	r.show()
	if s := r.Snapshot(); !strings.Contains(s.Message.Text, "treat as live") || s.Message.At.Before(s.Since) {
		t.Errorf("%q, %v before its state", s.Message.Text, s.Since.Sub(s.Message.At))
	}
}

// TestACutGoesOnWithTheHold: what was up when the music stopped burns on by one clock,
// through a cut of the hold and through the end's way to safe.
func TestACutGoesOnWithTheHold(t *testing.T) {
	cues := []show.Cue{{ID: "1", EffectAt: 500 * time.Millisecond, Burn: 3 * time.Second, Position: "Quay"}}
	r := newRig(t, &ramp{length: 4 * rate, breaksAt: 1 << 40}, cues, "", true)
	r.tick = 0 // the clock goes on by hand
	up := func(want int) {
		t.Helper()
		r.show()
		s := r.Snapshot()
		if got := len(s.Transport.StillUp(s.Stopped(r.now), nil)); got != want {
			t.Errorf("%s, the music has stood for %v: %d up, want %d", s.Transport.State(), s.Stopped(r.now), got, want)
		}
	}
	r.give(show.Command{Action: show.Arm})
	r.give(show.Command{Action: show.Start})
	r.hearUpTo(rate)
	r.give(show.Command{Action: show.Hold, Reason: "test"})
	up(1)
	r.now = r.now.Add(10 * time.Second)
	up(0)
	r.give(show.Command{Action: show.Cut})
	up(0)
}
