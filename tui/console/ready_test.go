package console

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"drylane/playback/crew"
	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/makesafe"
	"drylane/show/ready"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"

	"github.com/muesli/termenv"
)

// asks puts the go / no-go list into the run, with what has been answered.
func (s *scene) asks(deeds ...ready.Deed) *ready.List {
	list := ready.New(ready.OfShow(s.Show, false))
	for _, d := range deeds {
		if _, err := list.Give(d); err != nil {
			panic(err)
		}
	}
	s.run.Snap.Ready = list
	s.settle(func(h *hand) { h.onReady = true })
	s.catchUp()
	s.look(screentest.Epoch)
	return list
}

func goes(who ...string) []ready.Deed {
	var list []ready.Deed
	for _, w := range who {
		list = append(list, ready.Deed{Who: w, Answer: show.AnswerGo})
	}
	return list
}

// safe makes the run safe so long ago, with those in the field who went in so long ago.
func (s *scene) safe(ago time.Duration, in map[string]time.Duration, names ...string) {
	book := makesafe.New(15 * time.Minute)
	if ago > 0 {
		book.Safe(screentest.Epoch.Add(-ago))
	}
	for _, name := range names {
		if err := book.Enter(name, screentest.Epoch.Add(-in[name])); err != nil {
			panic(err)
		}
	}
	now := &deck.SafeNow{Book: *book, LastUp: "98", UpThen: 5}
	if ago > 0 {
		now.Since = screentest.Epoch.Add(-ago)
		s.run.Snap.Since = now.Since
	}
	s.run.Snap.Safe = now
	s.look(screentest.Epoch)
}

var readyScenes = map[string]func(*scene){
	"ready": func(s *scene) { s.asks(goes("Radio check", "Field")...) },
	"ready-crew": func(s *scene) {
		lines := append(fakeLines(), crew.Line{Name: "Eve", Role: "spotter"})
		lines[1].Name = "Field" // whoever is in the field has that name, and answers to it
		s.Others = &fakeCrew{Lines: lines}
		s.asks(goes("Radio check")...)
	},
	"ready-no-go": func(s *scene) {
		list := s.asks(append(goes("Radio check", "Field", "Spotter", "Audience line"), ready.Deed{Who: "Weather", Answer: show.AnswerNoGo, Reason: "rain or lightning"})...)
		list.Upset(ready.SomebodyIn)
		s.run.Snap.Message = deck.Message{Urgency: deck.Alarm, Text: "cannot arm: no-go from Weather (rain or lightning)", At: screentest.Epoch}
		s.look(screentest.Epoch)
	},
	"ready-reasons": func(s *scene) { s.asks(goes("Radio check", "Field")...); s.press("n") },
	"ready-twice": func(s *scene) {
		s.asks(goes("Radio check", "Field", "Spotter", "Weather", "Sound")...)
		s.run.Snap.Again = deck.Again{Action: show.Arm, Why: "no go from Audience line and Safety officer", Until: screentest.Epoch.Add(time.Second)}
		s.look(screentest.Epoch)
	},
	"made-safe": func(s *scene) {
		s.cutAt(58900 * time.Millisecond)
		s.safe(142*time.Second, nil)
		s.asks().Upset(ready.MadeSafe)
		s.press("g") // the lanes
	},
	"made-safe-waited": func(s *scene) {
		s.cutAt(58900 * time.Millisecond)
		s.safe(16*time.Minute, nil)
		s.asks().Upset(ready.MadeSafe)
		s.press("g")
	},
	"made-safe-in": func(s *scene) {
		s.cutAt(58900 * time.Millisecond)
		s.safe(17*time.Minute, map[string]time.Duration{"Quay": 80 * time.Second, "Mole": 40 * time.Second}, "Quay", "Mole")
		s.run.Snap.Stops = []string{"Quay and Mole are in the field"}
		s.look(screentest.Epoch)
	},
	"made-safe-who": func(s *scene) {
		s.cutAt(58900 * time.Millisecond)
		s.safe(142*time.Second, map[string]time.Duration{"Quay": 40 * time.Second}, "Quay")
		s.press("c")
	},
	"made-safe-early": func(s *scene) {
		s.cutAt(58900 * time.Millisecond)
		s.safe(142*time.Second, nil)
		s.run.Snap.Again = deck.Again{Enter: "Quay", Why: "12:38 left to wait", Until: screentest.Epoch.Add(time.Second)}
		s.look(screentest.Epoch)
	},
}

func TestReadyScreens(t *testing.T) {
	t.Parallel()
	for _, size := range screentest.Sizes {
		for name, scene := range readyScenes {
			s := newScene(t, size[0], size[1])
			scene(s)
			got := s.View()
			screentest.Golden(t, fmt.Sprintf("%s-%s", name, s.size()), got)
			screentest.Fits(t, name, got, size[0], size[1])
			for _, theme := range []string{"night", "light", "dark"} {
				s.Theme = screen.NewTheme(theme, termenv.TrueColor)
				screentest.Fits(t, name+", "+theme, s.View(), size[0], size[1])
			}
		}
	}
}

// Keys of the list and of who is in the field: what is asked of the run, and what is not.
func TestReadyKeys(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ keys, did string }{
		{"t", `go "Spotter"`},
		{"down t", `go "Audience line"`},
		{"down t t", `go "Audience line", go "Spotter"`}, // the choice goes back to who is next
		{"n 4", `no-go "Spotter" wind`},
		{"n 0", `withdraw "Spotter"`},
		{"n esc 4", ""},
		{"n down down enter", `no-go "Spotter" not ready`}, // where no digit can be reached
		{"n down enter", `withdraw "Spotter"`},
		{"c down down enter", "enter Quay"},
		{"n space 4", "hold"}, // holding works over it, and takes it away
		{"n a a", "arm"},
		{"g t", ""}, // the list comes first: nobody answers unseen
		{"g t t", `go "Spotter"`},
		{"g g n 1", `no-go "Spotter" not ready`},
		{"enter", "go"},
		{"a", "arm"},
		{"c 2", "enter Quay"},
		{"c 2 2", "enter Quay"},
		{"c esc 2", ""},
		{"c backspace 2", "cut"},
		{"c 9", ""},
	} {
		s := newScene(t, 80, 24)
		s.asks(goes("Radio check", "Field")...)
		s.safe(0, nil)
		s.press(strings.Fields(c.keys)...)
		if got := s.run.List(); got != c.did {
			t.Errorf("%s: %q, want %q", c.keys, got, c.did)
		}
	}
}

// A digit of the list of people means the same name for the whole run, whoever is in:
// the crew, and after them whoever else has gone in.
func TestBackKeys(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	s.safe(0, nil)
	s.press("c", "4")
	s.safe(0, nil, "Slip")
	s.press("c", "4", "c", "1")
	s.safe(0, nil, "Slip", "Eve", "mole")
	s.press("c", "4", "c", "1", "c", "7")
	if err := s.run.Snap.Safe.Book.Back("Slip", screentest.Epoch); err != nil {
		t.Fatal(err)
	}
	s.press("c", "7", "c", "4")
	if got, want := s.run.List(), "enter Slip, back Slip, enter Mole, back Slip, back Mole, back Eve, back Eve, enter Slip"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	s.safe(0, nil, "Quay", "Slip")
	if got := s.headline().text; got != "2 OUT" {
		t.Errorf("the large word is %s", got)
	}
}

// The list goes when the show is armed, and over an armed show its keys do nothing; with
// none they do nothing either.
func TestReadyComesAndGoes(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	s.press("t", "n", "c", "1", "g")
	if s.readyUp() || s.run.List() != "tick" { // of the hold checklist, which says that it is for a hold
		t.Errorf("with no list: %q", s.run.List())
	}
	s.run.Did = nil
	s.asks()
	if !s.readyUp() {
		t.Error("the list is not there")
	}
	s.do(show.Arm, 0, show.Command{})
	s.press("t", "n", "4", "c", "1", "g")
	if s.readyUp() || s.run.List() != "tick" {
		t.Errorf("over an armed show: %q", s.run.List())
	}
	s.do(show.Cut, 0, show.Command{})
	if s.readyUp() {
		t.Error("it came back by itself")
	}
	s.press("g")
	if !s.readyUp() {
		t.Error("its key does not bring it back")
	}
	s.fieldOf(demoField(s), time.Minute)
	for _, want := range [][2]bool{{false, true}, {false, false}, {true, false}} {
		s.press("g")
		if s.boardUp() != want[0] || s.readyUp() != want[1] {
			t.Errorf("board %v, list %v; want %v", s.boardUp(), s.readyUp(), want)
		}
	}
}

// A waiting time is read from across the room.
func TestWaitStandsLarge(t *testing.T) {
	t.Parallel()
	s := newScene(t, 120, 36)
	s.cutAt(20 * time.Second)
	for ago, want := range map[time.Duration]string{time.Minute: "WAIT", 16 * time.Minute: "SAFE"} {
		s.safe(ago, nil)
		if got := s.headline().text; got != want {
			t.Errorf("%v after the cut the large word is %s, want %s", ago, got, want)
		}
	}
}
