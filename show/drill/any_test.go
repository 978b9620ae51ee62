package drill

import (
	"strings"
	"testing"

	"drylane/testdata"
)

// TestAnyBriefingGivesNothingAway: no word of what happens in any of the drills that
// come along stands in the briefing of an untold one, and it urges nothing.
func TestAnyBriefingGivesNothingAway(t *testing.T) {
	t.Parallel()
	list, err := List(testdata.Drills())
	if err != nil {
		t.Fatal(err)
	}
	text := strings.ToLower(AnyBriefing)
	for _, d := range list {
		for _, s := range d.Steps {
			from := strings.ToLower(s.From)
			if from != "" && from != "spotter" && from != "field" && strings.Contains(text, from) {
				t.Errorf("%s: the briefing names %s", d.Name, s.From)
			}
		}
		if strings.Contains(text, strings.ToLower(d.Title)) {
			t.Errorf("the briefing says %q", d.Title)
		}
	}
	for _, word := range []string{"witness", "silent", "dead", "late", "boat", "wind", "fire", "person", "device", "dawdle", "waiting", "quick"} {
		if strings.Contains(text, word) {
			t.Errorf("the briefing says %q", word)
		}
	}
}
