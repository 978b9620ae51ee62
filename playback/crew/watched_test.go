package crew

import (
	"fmt"
	"slices"
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
			cfg.Training.Positions = append(cfg.Training.Positions, show.Position{Name: name})
		}
		if got := strings.Join(cfg.positions(), " "); got != c.want {
			t.Errorf("listed %q: told %q, want %q", c.listed, got, c.want)
		}
	}
}

// TestWatched checks what trainers are told of a run against what its cue list says.
func TestWatched(t *testing.T) {
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
	s := (&watcher{cfg: &Config{Plan: plan, Cues: cues}}).look(snap, epoch)
	ms := func(n int) time.Duration { return time.Duration(n) * time.Millisecond }
	if s.Gone != 2 || s.Taps != 1 || s.Output != "tape" {
		t.Errorf("state %+v", s)
	}
	if s.InForce != 0 || s.Asked != ms(300) || s.After != "3" || s.Drift != "tap again: the nudge is new" {
		t.Errorf("nudge %v, asked %v after %q, drift %q", s.InForce, s.Asked, s.After, s.Drift)
	}
	next := func(id, position string, lit int64, down, committed bool) Cue {
		return Cue{ID: id, Position: position, Effect: "red peony", Lit: lit, Seen: lit + 500, Down: down, Committed: committed}
	}
	want := []Cue{next("3", "Quay", 3500, false, true), next("4", "Mole", 4200, true, false), next("5", "Quay", 5200, false, false), next("6", "Mole", 6200, true, false)}
	if !slices.Equal(s.Next, want) {
		t.Errorf("next\n got %+v\nwant %+v", s.Next, want)
	}
	if up := []UpCue{{"1", "Quay", 0, ms(100)}}; !slices.Equal(s.Up, up) || s.UpAll != 1 {
		t.Errorf("up %+v of %d", s.Up, s.UpAll)
	}
}

// TestGateKeeps: the cue list's own events are left out, of sound that runs dry the first
// is kept, only the latest are, and nothing is told twice.
func TestGateKeeps(t *testing.T) {
	var g Gate
	kinds := func(list []session.Entry) (s []string) {
		for _, e := range list {
			s = append(s, e.Kind)
		}
		return s
	}
	for _, kind := range []string{"fired", "tap", "underrun", "broke", "underrun", "tap"} {
		g.Entry(session.Entry{Kind: kind})
	}
	if got := kinds(g.take()); !slices.Equal(got, []string{"tap", "underrun", "tap"}) {
		t.Errorf("told %v", got)
	}
	g.Entry(note(0))
	if got, all := g.take(), g.history(); len(got) != 1 || len(all) != 4 || len(g.take()) != 0 {
		t.Errorf("told %v, then %v", got, all)
	}
	for i := range 2 * keptEvents {
		g.Entry(note(i))
	}
	if late := g.history(); len(late) != keptEvents || late[0].N != keptEvents {
		t.Errorf("%d are kept, from %d on", len(late), late[0].N)
	}
	if got := g.take(); len(got) != keptEvents || got[0].N != keptEvents {
		t.Errorf("%d are told, from %d on", len(got), got[0].N)
	}
}

// note is an entry of the log.
func note(i int) session.Entry {
	return session.Entry{N: int64(i), Kind: session.KindNote, State: "running", Data: session.Data{Text: fmt.Sprint("note ", i)}}
}
