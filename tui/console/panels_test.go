package console

import (
	"strings"
	"testing"
	"time"

	"drylane/show"
)

// In the smallest window the panel of a hold, and that of a cut, stands before whatever
// was chosen; the keys that choose a panel still do, and what was chosen is there again
// when the run goes on.
func TestAStopBringsItsPanelToTheFront(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	see := func(when, want, not string) {
		t.Helper()
		if v := s.View(); !strings.Contains(v, want) || strings.Contains(v, not) {
			t.Errorf("%s: wanted %q and not %q in\n%s", when, want, not, v)
		}
	}
	s.press(",", ".")
	s.runTo(20 * time.Second)
	see("running", "─ cue ─", notSafeToEnter)
	s.do(show.Hold, 20*time.Second, show.Command{})
	see("held", notSafeToEnter, "─ cue ─")
	s.press("tab")
	see("held, next panel", "─ cue ─", notSafeToEnter)
	s.do(show.Resume, 20*time.Second, show.Command{})
	s.do(show.Hold, 21*time.Second, show.Command{})
	see("held again", notSafeToEnter, "─ cue ─")
	s.do(show.Resume, 21*time.Second, show.Command{})
	see("resumed", "─ cue ─", notSafeToEnter)
	s.run.Command(show.Cut, 22*time.Second, show.Command{})
	s.safe(time.Minute, nil)
	see("cut", "WAIT: nobody goes in", "─ cue ─")
	s.press(".")
	see("cut, a cue chosen", "─ cue ─", "WAIT: nobody goes in for")
}

// After a cut nothing is counted down to, neither on the screen nor in the line mode.
func TestNothingIsDueAfterACut(t *testing.T) {
	t.Parallel()
	p, s := newSpoken(t)
	s.cutAt(50 * time.Second)
	s.press("pgdown", ".")
	told := strings.Join(append(p.aheadLines(), p.cueLines(p.cursor)...), "\n")
	if !strings.Contains(told, "STILL LOADED: cue 70") || strings.Contains(told, "In ") || strings.Contains(told, "fires") {
		t.Errorf("it is told as %q", told)
	}
	if v := s.View(); !strings.Contains(v, " loaded    70") || strings.Contains(v, " in 0.8 s") {
		t.Errorf("the panel counts down:\n%s", v)
	}
}
