package crew

import (
	"slices"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/drill"
)

// TestPlanned: a trainer is told what the drill has in store, as it was drawn.
func TestPlanned(t *testing.T) {
	t.Parallel()
	x := &drill.Exercise{Drill: &drill.Drill{},
		Plants: []drill.Plant{{Position: "Slip", Late: []time.Duration{300 * time.Millisecond}}, {Late: []time.Duration{0}, Grow: []time.Duration{60 * time.Millisecond}}},
		Steps: []drill.Step{
			{Name: "person", When: drill.Trigger{From: 40 * time.Second}, Do: drill.Radio, From: "Quay", Text: "Hold.", Wants: drill.WantHold},
			{When: drill.Trigger{After: "hold", From: 8 * time.Second}, Do: drill.Dead, Group: show.Group{By: show.LanesByPosition, Name: "Mole"}},
		}}
	want := []PlannedStep{
		{Step: "person", At: 40 * time.Second, Do: drill.Radio, What: "Quay: Hold.", Wants: drill.WantHold},
		{At: 8 * time.Second, After: "hold", Do: drill.Dead, What: "position Mole dead"},
	}
	if got := plannedSteps(x); !slices.Equal(got, want) {
		t.Errorf("%+v\nwant %+v", got, want)
	}
	if got, want := planted(x), []string{"Slip 0.30 s late", "all cues on the music, 60 ms later with each minute"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestScoreSoFar: the score is asked for now and then, not with every look.
func TestScoreSoFar(t *testing.T) {
	t.Parallel()
	asked, now := 0, epoch
	w := &watcher{cfg: &Config{Training: Training{Score: func() string { asked++; return "score so far 62 of 100" }}}}
	for range 50 { // ten seconds
		if got := w.scoreNow(now); got != "score so far 62 of 100" {
			t.Fatalf("%q", got)
		}
		now = now.Add(teachEvery)
	}
	if asked != 5 {
		t.Errorf("asked %d times in ten seconds", asked)
	}
	if got := (&watcher{cfg: &Config{}}).scoreNow(now); got != "" {
		t.Errorf("%q where nobody knows", got)
	}
}
