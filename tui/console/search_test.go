package console

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"drylane/show"
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
