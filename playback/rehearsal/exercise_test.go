package rehearsal

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"drylane/playback/drills"
	"drylane/playback/sessions"
	"drylane/playback/sink"
	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/testdata"
)

// TestScoreSoFar: what has not come yet takes nothing off the score that an instructor
// sees; a call that goes unanswered does.
func TestScoreSoFar(t *testing.T) {
	t.Parallel()
	shelf := drills.Shelf{Shipped: testdata.Drills(), Demo: testdata.Demo()}
	d, dir, err := shelf.Find("fallout")
	if err != nil {
		t.Fatal(err)
	}
	l, err := shelf.Open(d, dir)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	x := NewExercise(t.Context(), d, 3)
	x.Plant(l)
	steps := steps(t, "+10 arm\n+4 start\n")
	path := filepath.Join(t.TempDir(), "log.jsonl")
	r, err := New(l, Options{Log: path, Script: steps, Drill: x, Out: sink.Place{Where: "silent", Speed: "max"}, Bangs: Bangs{Side: "off"}})
	if err != nil {
		t.Fatal(err)
	}
	if err := r.Deck.Run(t.Context()); err != nil {
		t.Fatal(err)
	}
	if got := r.scoreSoFar(); !strings.HasPrefix(got, "score so far ") || got == "score so far 100 of 100" {
		t.Errorf("with a call that nobody answered: %q", got)
	}
	if _, err := r.End(nil); err != nil {
		t.Fatal(err)
	}
	log, err := sessions.Read(path)
	if err != nil {
		t.Fatal(err)
	}
	called := slices.IndexFunc(log.Entries, func(e session.Entry) bool { return e.Data.Wants == string(drill.WantHold) })
	if called < 10 {
		t.Fatalf("a hold was asked for at event %d; wanted some before it", called)
	}
	for n := range called { // as an instructor sees it come
		part := *log
		part.Entries = log.Entries[:n:n]
		want := "no score so far"
		if slices.ContainsFunc(part.Entries, func(e session.Entry) bool { return e.Kind == show.EventStarted.String() }) {
			want = "score so far 100 of 100"
		}
		if got := soFar(&part, x.drawn); got != want {
			t.Errorf("after %d events, before a hold was asked for: %q, want %q", n, got, want)
		}
	}
}
