package instruct

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
)

// TestPositions: they are told in the show's order, where it has one.
func TestPositions(t *testing.T) {
	plan := testPlan(testCues())
	for _, c := range []struct{ listed, want string }{{"", "Quay Mole"}, {"Mole Pier Quay Mole", "Mole Quay"}, {"Mole", "Mole Quay"}} {
		cfg := Config{Plan: plan}
		for _, name := range strings.Fields(c.listed) {
			cfg.Positions = append(cfg.Positions, show.Position{Name: name})
		}
		if got := strings.Join(cfg.positions(), " "); got != c.want {
			t.Errorf("listed %q: told %q, want %q", c.listed, got, c.want)
		}
	}
}

// TestState holds what is told of a run against what its cue list says.
func TestState(t *testing.T) {
	cues := testCues()
	plan := testPlan(cues)
	tr := show.NewTransport(plan)
	do := func(c show.Command, at timebase.Frame) {
		t.Helper()
		if _, err := tr.Do(c, at, nil); err != nil {
			t.Fatal(err)
		}
	}
	do(show.Command{Action: show.Arm}, 0)
	do(show.Command{Action: show.Start}, 0)
	do(show.Command{Action: show.StandDown, Group: show.Group{By: show.LanesByPosition, Name: "Mole"}}, 100)
	tr.Advance(3400, nil) // cue 1 broke at 2.0 s; cue 2 was skipped; cue 3 fires at 3.5 s
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
		{"3", "Quay", "red peony", ms(100), ms(600), false, true},
		{"4", "Mole", "red peony", ms(800), ms(1300), true, false},
		{"5", "Quay", "red peony", ms(1800), ms(2300), false, false},
		{"6", "Mole", "red peony", ms(2800), ms(3300), true, false},
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
