package report

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"drylane/show"
)

// TestReportNamesWhatWasLeft: the page and the table name what a resume left open,
// and where the calls of a track were off by a nudge.
func TestReportNamesWhatWasLeft(t *testing.T) {
	cues := []show.Cue{
		{ID: "1", EffectAt: 2 * time.Second, Position: "Beacon"},
		{ID: "2", EffectAt: 12 * time.Second, Position: "Beacon"},
		{ID: "3", EffectAt: 13 * time.Second, Position: "Quay"},
		{ID: "4", EffectAt: 14 * time.Second, Position: "Beacon"},
	}
	r := newRig(t, cues)
	r.header.Called = []string{"Beacon"}
	r.buf.Reset()
	r.begin()
	r.must(show.Arm, 0)
	r.must(show.Start, 0)
	r.must(show.Hold, at(5000))
	r.wall = r.wall.Add(time.Second)
	if err := r.do(show.Command{Action: show.Resume, HeldFor: time.Second, Open: show.Open{Unticked: 3, Up: 2, Unknown: 1, Count: "2"}}, at(5000)); err != nil {
		t.Fatal(err)
	}
	if err := r.do(show.Command{Action: show.Nudge, Step: 2 * time.Second}, at(6000)); err != nil {
		t.Fatal(err)
	}
	r.must(show.Cut, at(20_000))
	s := NewSheet("s", r.run(), Person{})
	var table, debrief bytes.Buffer
	if err := s.WriteText(&debrief); err != nil {
		t.Fatal(err)
	}
	if err := WriteCSV(&table, []*Sheet{s}); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"resumed with 1 still up, 1 unknown, 3 lines unticked, inside the count for cue 2",
		"calls were 2.0 s late at Beacon for 2 cues, from cue 2 on: the track follows no nudge"} {
		if !strings.Contains(table.String(), want) {
			t.Errorf("the table does not say %q:\n%s", want, &table)
		}
		if !strings.Contains(debrief.String(), want) {
			t.Errorf("the debrief does not say %q:\n%s", want, &debrief)
		}
		if !strings.Contains(pageOf(t, s), want) {
			t.Errorf("the page does not say %q", want)
		}
	}
}
