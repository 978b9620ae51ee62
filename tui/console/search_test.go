package console

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/tui/internal/screentest"
)

// A table of more positions than there is room for is turned with the keys that scroll,
// and every position comes into sight.
func TestSearchTurns(t *testing.T) {
	t.Parallel()
	const n = 40
	sh, plan := manyPositions(n)
	s := sceneOf(t, sh, plan, 80, 24)
	s.cutAt(time.Second)
	s.press("x")
	seen := map[string]bool{}
	for range n {
		for _, line := range strings.Split(s.View(), "\n") {
			for i := range n {
				if name := fmt.Sprintf("Position %d", i+1); strings.HasPrefix(strings.TrimSpace(line), name+" ") {
					seen[name] = true
				}
			}
		}
		if s.closing.top+s.closing.page == n {
			break
		}
		s.press("pgdown")
	}
	if len(seen) != n {
		t.Errorf("%d of %d positions came into sight", len(seen), n)
	}
	s.press("pgdown")
	if s.closing.top+s.closing.page != n {
		t.Errorf("turned beyond the end: %d and %d rows", s.closing.top, s.closing.page)
	}
	for range n {
		s.press("pgup")
	}
	if s.closing.top != 0 {
		t.Errorf("at %d, want the beginning", s.closing.top)
	}
	s.do(show.Arm, 0, show.Command{})
	if s.searchUp() {
		t.Error("the table stands over an armed show")
	}
}

// Who of the crew said something of a cue stands in the window of the question, whole
// however long their names are.
func TestSaidBy(t *testing.T) {
	t.Parallel()
	const most = "ABCDEFGHIJKLMNOPQRSTUVWX" // as many characters as a name may have
	sh, plan := manyPositions(1)
	s := sceneOf(t, sh, plan, 80, 24)
	s.runTo(plan.Length.At(plan.Rate) - time.Second)
	for i, c := range []struct {
		by   string
		want string
	}{
		{"", ": did not go"},
		{most + " (" + most + ")", "by " + most + " (" + most + ")"},
		{"Ada (safety)", "by " + most + " (" + most + ") and 1 more"},
	} {
		next, _, err := s.run.Snap.Said.With(show.Saying{Saw: show.DidNotGo, By: c.by}, len(plan.Cues), func(int) string { return "A" }, s.run.T.Fired)
		if err != nil {
			t.Fatal(err)
		}
		s.run.Snap.Said = next
		s.look(screentest.Epoch)
		s.press("y")
		if got := s.View(); !strings.Contains(got, c.want+" ") {
			t.Errorf("%d: no %q in\n%s", i, c.want, got)
		}
		s.press("esc")
	}
	s.press("y")
	if got, want := (&Spoken{Screen: s.Screen}).seenLine(), ": did not go, by "+most+" ("+most+") and 1 more. "; !strings.Contains(got, want) {
		t.Errorf("told as %q, want %q in it", got, want)
	}
}
