package console

import (
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/playback/crew"
	"drylane/playback/deck"
	"drylane/show"
	roles "drylane/show/crew"
	"drylane/show/drift"
	"drylane/tui/internal/screentest"
)

// A fakeCrew is a crew that a test moves by hand.
type fakeCrew crew.Board

func (f *fakeCrew) Board() *crew.Board { return (*crew.Board)(f) }

func (f *fakeCrew) Invitation() crew.Invitation {
	i := crew.Invitation{Address: "192.168.1.20:7411/2345-6789-ABCD-EFGH", Codes: map[roles.Kind]string{},
		Page: "https://192.168.1.20:7412/", Positions: []string{"Mole", "Quay", "Jetty"}, Fingerprint: strings.Repeat("3f9a07c4", 8)}
	for _, k := range roles.Kinds() {
		i.Codes[k] = string(k) + "-7M4Q-X2DK"
	}
	return i
}

// fakeLines are a crew of three.
func fakeLines() []crew.Line {
	return []crew.Line{{Name: "Ada", Role: "safety", Ready: true, Bound: 2300 * time.Microsecond},
		{Name: "Ben", Role: "position:Beacon", Bound: 700 * time.Microsecond}, {Name: "Cyd", Role: "listener"}}
}

// TestStrikeOff: the key strikes off who is lost before who is only awaited, one at a
// time, and nobody where all is well or nobody takes part.
func TestStrikeOff(t *testing.T) {
	s := newScene(t, 80, 24)
	s.press("X")
	b := &fakeCrew{Lines: fakeLines()}
	s.Others = b
	s.press("X")
	b.Lines[0].Answer, b.Lines[2].Lost = roles.Awaited, time.Second
	s.press("X")
	b.Lines[2].Struck = true
	s.press("X")
	var off []string
	for _, a := range s.run.Did {
		if a.Kind == show.KindStrike {
			off = append(off, a.Text)
		}
	}
	if got := strings.Join(off, ", "); got != "Cyd, Ada" {
		t.Errorf("struck off: %q", got)
	}
}

// TestSpokenCrew: who is lost, who has not acknowledged a hold and who refuses a resume is
// said as it comes, and that it is over; a hold gives its members time to answer first.
func TestSpokenCrew(t *testing.T) {
	t.Parallel()
	p, s := newSpoken(t)
	b := &fakeCrew{Lines: fakeLines()}
	p.Others = b
	s.runTo(3 * time.Second)
	p.tell()
	now := p.Now()
	p.Now = func() time.Time { return now }
	for i, c := range []struct {
		after  time.Duration
		change func()
		want   []string
	}{
		{time.Second, func() { b.Lines[1].Lost = time.Second }, []string{"LINK LOST: Ben. X strikes Ben off."}},
		{time.Second, func() { b.Lines[1].Lost = 2 * time.Second }, nil},
		{9 * time.Second, func() { b.Lines[1].Lost = 0 }, []string{"LINK: nobody who is awaited is lost"}},
		{9 * time.Second, func() {
			s.do(show.Hold, 3*time.Second, show.Command{Reason: "fire"})
			s.run.Snap.Since = now
			for i := range b.Lines {
				b.Lines[i].Answer = roles.Awaited
			}
			p.tell() // the hold itself
		}, nil},
		{3 * time.Second, func() { b.Lines[0].Answer = roles.Answered }, []string{"HOLD NOT ACKNOWLEDGED: Ben and Cyd. X strikes Ben off."}},
		{9 * time.Second, func() { b.Lines[1].Answer, b.Lines[2].Answer, b.Lines[2].Struck = roles.Answered, roles.Struck, true }, []string{"Hold acknowledged by 2 of 3"}},
		{time.Second, func() { // another hold, of which the same is to be told
			s.do(show.Resume, 3*time.Second, show.Command{Anyway: true})
			p.tell()
			s.do(show.Hold, 3*time.Second, show.Command{Reason: "fire"})
			s.run.Snap.Since = now
			p.tell()
			now = now.Add(answersIn)
		}, []string{"Hold acknowledged by 2 of 3"}},
		{time.Second, func() { b.Forbids = "safety Ada refuses it: boat" }, []string{"A RESUME IS REFUSED BY safety Ada: boat"}},
		{time.Second, func() { b.Asks = "Ben asks to stand Beacon down" }, []string{"Ben asks to stand Beacon down"}},
	} {
		now = now.Add(c.after)
		c.change()
		if got := p.tell(); !slices.Equal(got, c.want) {
			t.Errorf("%d: %q, want %q", i, got, c.want)
		}
	}
}

// TestSpokenCrewReady: what somebody of the crew says of themselves stands beside their
// line of the list, which only the shooter ticks.
func TestSpokenCrewReady(t *testing.T) {
	t.Parallel()
	p, s := newSpoken(t)
	b := &fakeCrew{Lines: []crew.Line{{Name: "Eve", Role: "spotter"}, {Name: "Cyd", Role: "listener"}}}
	p.Others = b
	p.tell()
	s.asks(goes("Radio check", "Field")...)
	if got := strings.Join(p.tell(), "\n"); !strings.Contains(got, "go 2 of 7. Next: Spotter. Eve: not ready yet") {
		t.Errorf("the list is told as %q", got)
	}
	b.Lines[0].Ready = true
	if got := strings.Join(p.tell(), "\n"); !strings.Contains(got, "go 2 of 7. Next: Spotter. Eve: ready") {
		t.Errorf("the list is told as %q", got)
	}
	b.Lines = append(b.Lines, crew.Line{Name: "Sue", Role: "spotter", Ready: true, Lost: time.Second})
	if whole, word := p.crewReady("Spotter"); whole != "1 of 2 ready" || word != whole {
		t.Errorf("two spotters: %q, %q", whole, word)
	}
	if whole, _ := p.crewReady("sue"); whole != "Sue: LINK LOST" {
		t.Errorf("one who is lost: %q", whole)
	}
	if whole, _ := p.crewReady("Cyd"); whole != "" {
		t.Errorf("a listener is asked: %q", whole)
	}
}

// TestAsksInHold: that a position asks to be stood down is said in a hold too, soon after
// what led to the hold, with who has not acknowledged it as far as there is room.
func TestAsksInHold(t *testing.T) {
	for width, want := range map[int]string{
		120: "Ben asks to stand Beacon down; not acknowledged: Ada and 2 more; X strikes Ada off",
		80:  "Ben asks to stand Beacon down; not acknowledged: Ada and 2 more",
	} {
		s := newScene(t, width, 36)
		scenes["crew-asks"](s)
		if got, _ := s.messageText(); got != want {
			t.Errorf("%d columns: %q", width, got)
		}
	}
}

// TestCutEndsNext: after a cut no cue is counted down to, on the screen or in the line mode.
func TestCutEndsNext(t *testing.T) {
	s := newScene(t, 80, 24)
	scenes["cut"](s)
	if got := s.View(); !strings.Contains(got, "cut before these: treat as live") || strings.Contains(got, "next cues") {
		t.Errorf("after a cut:\n%s", got)
	}
	p, s := newSpoken(t)
	s.runTo(30 * time.Second)
	s.do(show.Cut, 30*time.Second, show.Command{})
	p.tell()
	for _, line := range p.aheadLines() {
		if !strings.HasPrefix(line, "STILL LOADED: cue ") && !strings.HasPrefix(line, "STOOD DOWN") {
			t.Errorf("ahead: %q", line)
		}
	}
}

// TestAsksBeforeResume: the question before a resume is whole in every window, with where
// the music is, who asks to be stood down and who has not acknowledged the hold, and what
// a hold is not can be read meanwhile.
func TestAsksBeforeResume(t *testing.T) {
	t.Parallel()
	open := show.Open{Asks: "Ada asks to stand Quay down", Up: 2, Unticked: 4, Silent: 1}.Words()
	elsewhere := "up to 83 cues stay loaded; no go from 7 of 7; " + open + "; music at 1:18.1, show at 0:56.8"
	for _, size := range screentest.Sizes {
		for _, why := range []string{open, elsewhere} {
			s := newScene(t, size[0], size[1])
			scenes["crew-held"](s)
			s.run.Snap.Again = deck.Again{Action: show.Resume, Why: why, Until: screentest.Epoch.Add(time.Second)}
			s.look(screentest.Epoch)
			got := s.View()
			read := strings.Join(strings.Fields(got), " ")
			for _, want := range []string{"enter again resumes", why + "; not acknowledged: Ada and Cyd", notSafeToEnter} {
				if !strings.Contains(read, want) {
					t.Errorf("%s: %q is not there:\n%s", s.size(), want, got)
				}
			}
			screentest.Fits(t, "asks", got, size[0], size[1])
		}
	}
}

// TestLinks: the links for telephones are shown one after another, over a run that can be
// held meanwhile; where no page is served there are none. In line mode they are said.
func TestLinks(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	if s.press("C"); s.mode != runMode {
		t.Error("there are links without a crew")
	}
	s.Others = &fakeCrew{}
	for _, step := range []struct{ key, want string }{{"C", "for a position, to be chosen"}, {"tab", "for Mole"}, {"tab", "for Quay"}, {"tab", "for Jetty"}, {"tab", "for safety"}, {"tab", "for spotter"}, {"tab", "for listener"}, {"tab", "for a position"}} {
		s.press(step.key)
		if got := s.View(); !strings.Contains(got, "telephones: "+step.want) {
			t.Errorf("%s shows no link %s:\n%s", step.key, step.want, got)
		}
	}
	s.ASCII = true
	if got := s.View(); strings.Contains(got, "##") || strings.Contains(got, "square") || !strings.Contains(got, "https://192.168.1.20:7412/#position-7M4Q-X2DK") {
		t.Errorf("in ASCII it shows\n%s", got)
	}
	s.press("space")
	if n := len(s.run.Did); n == 0 || s.run.Did[n-1].Command.Action != show.Hold || s.mode != runMode {
		t.Errorf("space over the links did %v", s.run.Did)
	}
	if s.press("C", "x"); s.mode != runMode {
		t.Error("another key does not go back")
	}
	p, _ := newSpoken(t)
	p.Others = &fakeCrew{}
	p.tell()
	if said := strings.Join(p.hear("C"), "\n"); !strings.Contains(said, "Telephones open https://192.168.1.20:7412/ and type a code\nCode for position: position-7M4Q-X2DK") {
		t.Errorf("said: %s", said)
	}
}

// TestLinksKeepTheRunInSight: over a run that goes on the links leave its state and its
// clock to be read, and say that it can be held, in every window.
func TestLinksKeepTheRunInSight(t *testing.T) {
	t.Parallel()
	for _, size := range screentest.Sizes {
		s := newScene(t, size[0], size[1])
		s.Others = &fakeCrew{}
		s.runTo(41200 * time.Millisecond)
		s.press("C")
		got := s.View()
		for _, want := range []string{"RUNNING  for", "music at 0:41.2", "photograph the square, or open", "space holds"} {
			if !strings.Contains(got, want) {
				t.Errorf("%s: %q is not there:\n%s", s.size(), want, got)
			}
		}
	}
}

// heardByPlace is what two places heard of cues that come early for the audience: by a real
// reckoning of simulated taps.
func heardByPlace() drift.Places {
	var cues []drift.Effect
	listeners := []drift.Listener{{Name: "Cyd", Place: "main audience", Placed: true}, {Name: "Eve", Place: "Harbour wall north end", Way: 300 * time.Millisecond, Placed: true}}
	for i, ms := range []int{5000, 8100, 10400, 13900, 15700, 18900, 20200, 23800, 25900, 28500, 31600, 33100} {
		at := time.Duration(ms) * time.Millisecond
		cues = append(cues, drift.Effect{At: at, Lane: "Quay"})
		for k := range listeners {
			l := &listeners[k]
			l.Taps = append(l.Taps, drift.Tap{Heard: at + l.Way + 280*time.Millisecond + time.Duration(i%3-1)*20*time.Millisecond})
		}
	}
	return drift.JoinPlaces(cues, listeners, drift.ForAudience, 0)
}
