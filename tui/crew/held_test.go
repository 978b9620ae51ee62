package crew

import (
	"strings"
	"testing"
	"time"

	link "drylane/playback/crew"
	"drylane/show/crew"
	"drylane/tui/screen"
)

// TestSays: what a member must read at 80 columns, and what must not stand there.
func TestSays(t *testing.T) {
	refused := func(f *fakeLink) {
		f.view.State.Forbids = "nothing is heard of Ada (Quay)"
	}
	for name, c := range map[string]struct {
		scene  string
		change func(*fakeLink)
		want   []string
		not    string
	}{
		"who called and why, beside who refuses": {"crew-position-held", refused,
			[]string{"HOLD   Ben: person in the fallout area", "RESUME refused by nothing is heard of Ada"}, "HOLD   cannot"},
		"the spotter's sky in a hold": {"crew-spotter-held", nil, []string{"SKY    4 still up for 3.1 s, 1 unknown", "ASKS DOWN, answered"}, ""},
		"asked, and by which key it is taken back": {"crew-position-asks", nil,
			[]string{"ASKED  to stand Beacon down; d takes that back", "d ask no more", "enter acknowledges"}, "ask stand down"},
		"cut": {"crew-safety-cut", nil, []string{"NEXT   cut before cue 98", "203 cues loaded: treat as live", "loaded     98", "FIELD  CUT: NOBODY GOES IN for 14:57"}, "in 0.1 s"},
		"struck off": {"crew-listener-struck", nil,
			[]string{"STRUCK OFF: the shooter does not wait for your answer; enter acknowledges"}, "calls HOLD at any time"},
		"struck off without a hold": {"crew-listener", func(f *fakeLink) { f.view.State.Struck = []string{"Ada"} },
			[]string{"STRUCK OFF: the shooter does not wait for your answer"}, "acknowledges"},
		"not yet begun":       {"crew-safety-cut", func(f *fakeLink) { f.view.State.Heard, f.view.State.Made = 0, false }, []string{"203 to come"}, "loaded"},
		"cut, for a listener": {"crew-listener-cut", nil, []string{"CUT  for 0:03", "FIELD  CUT: NOBODY GOES IN for 14:57"}, "SAFE"},
		"cut, for a spotter":  {"crew-spotter-cut", nil, []string{"FIELD  CUT: NOBODY GOES IN for 14:57", "203 cues loaded: treat as live"}, "SAFE"},
		"cut, for a position": {"crew-position-cut", nil, []string{"FIELD  CUT: NOBODY GOES IN for 14:57"}, "SAFE"},
		"acknowledged": {"crew-position-held", func(f *fakeLink) { f.view.State.Waits = []string{"Cyd"} },
			[]string{"FIELD  HELD IS NOT SAFE TO ENTER", "not yet acknowledged: Cyd"}, "acknowledges"},
	} {
		m, f := newScene(t, c.scene, 80, 24)
		if c.change != nil {
			c.change(f)
			m.look(m.now)
		}
		got := m.View()
		for _, want := range c.want {
			if !strings.Contains(got, want) {
				t.Errorf("%s: %q is missing in\n%s", name, want, got)
			}
		}
		if c.not != "" && strings.Contains(got, c.not) {
			t.Errorf("%s: %q stands in\n%s", name, c.not, got)
		}
	}
}

// TestAnswerInHold: that the shooter was asked is said in a hold, too, with the key that
// acknowledges it, which is said again when the answer has been read.
func TestAnswerInHold(t *testing.T) {
	m, f := newScene(t, "crew-position-held", 80, 24)
	f.view.Answers, f.view.Answer = 1, link.Answer{Deed: crew.StandDown}
	m.look(m.now)
	if got, _ := m.message(); got != "asked the shooter to stand the position down; enter acknowledges the hold" {
		t.Errorf("%q", got)
	}
	m.look(m.now.Add(screen.MessageFor + time.Second))
	if got, _ := m.message(); !strings.HasPrefix(got, "HELD: enter acknowledges") {
		t.Errorf("later %q", got)
	}
	f.view.Answers, f.view.Answer = 2, link.Answer{Deed: crew.StandDown, Refused: "Beacon is stood down already"}
	m.look(m.now)
	if got, _ := m.message(); got != "not done: Beacon is stood down already; enter acknowledges the hold" {
		t.Errorf("refused: %q", got)
	}
}

// TestHoldIsForgotten: that a HOLD was called is said in the hold, and not of a state that
// came later; of a show that does not run it is said that there was nothing to hold.
func TestHoldIsForgotten(t *testing.T) {
	for _, c := range []struct{ then, later, want, not string }{
		{"safe", "safe", "the show is safe: nothing to hold", "done"},
		{"safe", "armed", "calls HOLD at any time", "nothing to hold"},
		{"running", "held", "done: HOLD called", "nothing to hold"},
		{"held", "safe", "calls HOLD at any time", "HOLD called"},
		{"held", "running", "calls HOLD at any time", "HOLD called"},
	} {
		m, f := newScene(t, "crew-spotter-lost", 80, 24)
		f.view.State.State = c.then
		m.look(m.now)
		f.view.Answers, f.view.Answer = 1, link.Answer{Deed: crew.Hold}
		m.look(m.now)
		f.view.State.State = c.later
		m.look(m.now.Add(time.Second))
		if got, _ := m.message(); !strings.Contains(got, c.want) || strings.Contains(got, c.not) {
			t.Errorf("%s, then %s: %q", c.then, c.later, got)
		}
	}
}

// TestTapsThatCount: those while the music does not run are refused, and not counted.
func TestTapsThatCount(t *testing.T) {
	m, f := newScene(t, "crew-listener", 80, 24)
	f.view.State.State = "armed"
	m.look(m.now)
	press(m, "j", "j")
	f.view.State.State = "running"
	m.look(m.now)
	press(m, "j")
	if got := m.View(); !strings.Contains(got, "taps: 1 ") {
		t.Error(got)
	}
}

// TestLongNames: a name of up to 24 letters, and a long role, stand in the list whole where
// there are rows for them; where there are not, nobody is left out for them.
func TestLongNames(t *testing.T) {
	m, f := newScene(t, "crew-safety", 80, 24)
	f.view.Crew[2].Name = "Benlistener"
	m.look(m.now)
	got := m.View()
	for _, want := range []string{"Benlistener", "Dorothea-Wilhelmina Long", "Harbour wall north end", "not ready, ±31 ms", " listener no clock yet"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is missing in\n%s", want, got)
		}
	}
	for range 9 {
		f.view.Crew = append(f.view.Crew, link.Line{Name: "Benlistener", Role: "listener"})
	}
	m.look(m.now)
	if got := m.View(); !strings.Contains(got, "and 7 more") {
		t.Errorf("more members than rows:\n%s", got)
	}
}
