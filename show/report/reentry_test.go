package report

import (
	"strings"
	"testing"
	"time"

	"drylane/show"
)

// By hand: four cues at 10, 20, 30 and 40 s; cut at 15 s and started again at 35 s with a
// run-up of 6 s. The first fired before, the second and third are left out, though the
// music comes by the third again, and a tap on it belongs to no cue.
func TestReentered(t *testing.T) {
	r := newRig(t, []show.Cue{{ID: "1", EffectAt: 10 * time.Second, Position: "A"}, {ID: "2", EffectAt: 20 * time.Second, Position: "A"},
		{ID: "3", EffectAt: 30 * time.Second, Position: "B"}, {ID: "4", EffectAt: 40 * time.Second, Position: "B"}})
	r.must(show.Arm, 0)
	r.must(show.Start, 0)
	r.must(show.Cut, at(15_000))
	if err := r.do(show.Command{Action: show.Reenter, From: 35 * time.Second, RunUp: 6 * time.Second}, 0); err != nil {
		t.Fatal(err)
	}
	r.must(show.Start, 0)
	r.tap(at(30_000))
	r.must(show.Cut, at(45_000))
	log := r.read()
	runs, err := All(log)
	if err != nil {
		t.Fatal(err)
	}
	run := runs[len(runs)-1]
	var got []string
	for _, c := range run.Cues {
		got = append(got, c.Ending.String())
	}
	if want := "fired before,left,left,fired"; strings.Join(got, ",") != want {
		t.Errorf("endings %v, want %s", got, want)
	}
	if run.Cues[0].LeftOut || !run.Cues[1].LeftOut || !run.Cues[2].LeftOut || run.Cues[3].LeftOut {
		t.Errorf("left out: %+v", run.Cues)
	}
	s := NewSheet("night.jsonl", run, Person{})
	if len(s.Listed) != 1 || s.Listed[0] != 3 {
		t.Errorf("the drift is measured with the cues %v, want the last alone", s.Listed)
	}
	if p := s.Points(); len(p) != 1 || p[0].Outcome != Loose {
		t.Errorf("the tap on a cue that was left out: %+v", p)
	}
	text := s.Summary().Text()
	for _, want := range []string{"1 fired, 0 skipped, 2 left", "1 had fired before the re-entry", "2 of those left were left out by the re-entry: still loaded, treat as live"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	var b strings.Builder
	if err := s.WriteText(&b); err != nil {
		t.Fatal(err)
	}
	if got := strings.Count(b.String(), "left out by the re-entry: still loaded, treat as live"); got != 2 {
		t.Errorf("%d cues are told as left out, want 2:\n%s", got, &b)
	}
}
