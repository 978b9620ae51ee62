package console

import (
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/tui/internal/screentest"
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

// In the smallest window no panel beside the cues ends in the middle of a sentence.
func TestNoPanelIsCut(t *testing.T) {
	t.Parallel()
	for name, enter := range map[string]func(*scene){
		"cue":    scenes["cue"],
		"down":   scenes["down"],
		"safe":   readyScenes["made-safe"],
		"waited": readyScenes["made-safe-waited"],
		"in":     readyScenes["made-safe-in"],
		"nothing up": func(s *scene) {
			s.cutAt(50 * time.Second)
			s.safe(16*time.Minute, nil)
			s.run.Snap.Safe.UpThen = 0
		},
		"many": func(s *scene) {
			s.cutAt(58900 * time.Millisecond)
			s.safe(17*time.Minute, nil, "Quay", "Mole", "Jetty", "Slip", "Barge")
		},
	} {
		s := newScene(t, 80, 24)
		enter(s)
		s.look(screentest.Epoch)
		lines := strings.Split(s.View(), "\n")[s.lay.panels.Y:s.lay.message.Y]
		var panel []string
		for _, line := range lines {
			panel = append(panel, strings.TrimSpace(string([]rune(line + strings.Repeat(" ", 80))[40:])))
		}
		text := strings.Join(panel, " ")
		if strings.Contains(text, "…") {
			t.Errorf("%s: %s", name, text)
		}
		for begins, ends := range map[string]string{"when it stopped:": " cue 98 the last", "prefire": " s", "waited": "the operator decides"} {
			if name == "nothing up" && begins == "when it stopped:" {
				ends = "ask the spotter"
			}
			if strings.Contains(text, begins) && !strings.Contains(text, ends) {
				t.Errorf("%s: it stops in the middle: %s", name, text)
			}
		}
		if name == "many" && !strings.Contains(text, "5 in the field, Quay for ") {
			t.Errorf("who is in is told as %s", text)
		}
		if name == "cue" && !strings.Contains(text, "burn 1") {
			t.Errorf("the burn of the cue is not there: %s", text)
		}
	}
}

// While the music is read no hint is cut short of its last word, before a drill or
// without one.
func TestReadingLeavesTheHintWhole(t *testing.T) {
	t.Parallel()
	for file, keys := range keymaps(t) {
		for _, brief := range []*Briefing{nil, {Text: "Hold for the spotter.", Foot: "Local rules count."}} {
			s := newScene(t, 80, 24)
			s.Keys, s.Brief = keys, brief
			s.Overview = func() (float64, time.Duration) { return 0.3, 12 * time.Second }
			got := strings.Split(s.View(), "\n")[s.lay.message.Y]
			if !strings.Contains(got, " arms ") || !strings.Contains(got, "Reading music: 30 %, 12 s; ") || !strings.HasSuffix(strings.TrimSpace(got), " stops it") {
				t.Errorf("%s: %s", file, got)
			}
		}
	}
}
