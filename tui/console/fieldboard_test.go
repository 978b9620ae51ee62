package console

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/board"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"

	"github.com/muesli/termenv"
)

// fieldOf puts a field board into the run, opened so long ago, with what was done.
func (s *scene) fieldOf(f board.Field, ago time.Duration, deeds ...board.Deed) {
	b := board.New(f)
	for _, d := range deeds {
		if err := b.Do(d); err != nil {
			panic(err)
		}
	}
	s.run.Snap.Field = &deck.FieldNow{Board: *b, Opened: screentest.Epoch.Add(-ago)}
	s.settle(func(h *hand) { h.onBoard = true })
	s.catchUp()
	s.look(screentest.Epoch)
}

// demoField is the demo's field with something of everything wrong in it.
func demoField(s *scene) board.Field {
	f := board.OfShow(s.Show, 135*time.Second, nil)
	f.Seed = 17
	f.Plants = []board.Plant{{Device: "M2", Fault: board.Missing}, {Device: "Q1", Fault: board.SameNumber}, {Device: "Q2", Fault: board.LowCharge},
		{Device: "S1", Fault: board.Weak}, {Device: "S2", Fault: board.OpenPin}, {Device: "B1", Fault: board.StrayPin},
		{Device: "sound desk", Fault: board.WrongFile}, {Device: "spare at the sound desk", Fault: board.OtherSound}, {Device: "X9", Fault: board.Unplanned}}
	return f
}

var fieldScenes = map[string]func(*scene){
	"board": func(s *scene) { s.fieldOf(demoField(s), 42*time.Second) },
	"board-out": func(s *scene) {
		s.fieldOf(demoField(s), 72*time.Second, board.Deed{At: 20 * time.Second, Act: board.Mark, Device: "M2", Fault: board.Missing},
			board.Deed{At: 30 * time.Second, Act: board.Mark, Device: "spare at the sound desk", Fault: board.OtherSound},
			board.Deed{At: 40 * time.Second, Act: board.Repair, Device: "M2"})
		s.run.Snap.Stops = []string{"somebody is in the field at M2, back in 6:48"}
		s.look(screentest.Epoch)
		for range 30 { // the last one
			s.press("down")
		}
		s.press("up")
	},
	"board-mended": func(s *scene) {
		s.fieldOf(demoField(s), time.Hour, board.Deed{At: 20 * time.Second, Act: board.Mark, Device: "M2", Fault: board.Missing},
			board.Deed{At: 30 * time.Second, Act: board.Repair, Device: "M2"},
			board.Deed{At: 40 * time.Second, Act: board.Mark, Device: "Q2", Fault: board.LowCharge},
			board.Deed{At: 50 * time.Second, Act: board.Mark, Device: "sound desk", Fault: board.WrongFile})
		s.press("down")
	},
	"board-faults": func(s *scene) { s.fieldOf(demoField(s), 42*time.Second); s.press("down", "enter") },
}

func TestFieldBoardScreens(t *testing.T) {
	t.Parallel()
	for _, size := range screentest.Sizes {
		for name, scene := range fieldScenes {
			s := newScene(t, size[0], size[1])
			scene(s)
			got := s.View()
			screentest.Golden(t, fmt.Sprintf("%s-%s", name, s.size()), got)
			screentest.Fits(t, name, got, size[0], size[1])
			if name == "board-faults" {
				continue // which lists them all
			}
			for _, f := range board.Faults() {
				below := strings.Join(strings.Split(got, "\n")[s.lay.wave.Y:], "\n")
				if name == "board" && strings.Contains(below, string(f)) {
					t.Errorf("%s names the fault %q, which is the trainee's to name", s.size(), f)
				}
			}
		}
	}
	s := newScene(t, 80, 24)
	fieldScenes["board"](s)
	screentest.Golden(t, "roles-board-80x24", s.roles())
}

// In every theme, and with none, a healthy row and one with a fault look the same but
// for their figures: nothing is given away by a colour.
func TestFieldBoardGivesNothingAway(t *testing.T) {
	t.Parallel()
	s := newScene(t, 120, 36)
	fieldScenes["board"](s)
	s.press("down") // chosen: one with nothing wrong, or with something
	s.View()
	for i := range s.field.shown {
		y := s.field.first + i
		style := s.canvas.At(2, y).Style
		want := screen.Normal
		if s.field.rows[s.field.top+i].Name == s.device {
			want = screen.Selected
		}
		for x := 2; x < 100; x++ {
			if got := s.canvas.At(x, y).Style; s.canvas.At(x, y).Rune != ' ' && got != want {
				t.Fatalf("row %d, column %d has style %d beside %d", i, x, got, style)
			}
		}
	}
	for _, name := range []string{"night", "light", "dark"} {
		s.Theme = screen.NewTheme(name, termenv.TrueColor)
		screentest.Fits(t, name, s.View(), 120, 36)
	}
}

// Who is out is read from across the room, the board in sight or not.
func TestSomebodyOutStandsLarge(t *testing.T) {
	t.Parallel()
	s := newScene(t, 120, 36)
	s.fieldOf(demoField(s), time.Minute, board.Deed{At: 20 * time.Second, Act: board.Repair, Device: "M2"}, board.Deed{At: 21 * time.Second, Act: board.Repair, Device: "S2"})
	for _, key := range []string{"g", "g"} {
		if got := s.headline().text; got != "2 OUT" {
			t.Errorf("the large word is %s", got)
		}
		s.press(key)
	}
	s.run.Snap.Field = nil
	s.look(screentest.Epoch)
	if got := s.headline().text; got != "SAFE" {
		t.Errorf("with nobody out the large word is %s", got)
	}
}

// Keys at the board: what is asked of the run, and what is not.
func TestFieldBoardKeys(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ keys, did string }{
		{"down enter 1", "mark M2 missing"},
		{"enter 0", "mark M1 ok"},
		{"down down up c", "repair M2"},
		{"up enter esc 1", ""},
		{"enter 9", ""}, // no such fault
		{"enter down down enter", "mark M1 missing"},
		{"enter down up enter", "mark M1 ok"},
		{"enter enter", ""}, // held down
		{"enter space 1", "hold"},
		{"enter a a", "arm"}, // the first takes the list away
		{"a", "arm"},
		{"g c enter", "go"}, // the lanes are there again
		{"g g c", "repair M1"},
		{"down g down g c", "repair M2"},
	} {
		s := newScene(t, 80, 24)
		s.fieldOf(demoField(s), time.Minute)
		s.press(strings.Fields(c.keys)...)
		if got := s.run.List(); got != c.did {
			t.Errorf("%s: %q, want %q", c.keys, got, c.did)
		}
	}
}

// The board goes when the show is armed and comes back for its key; without one the
// keys do nothing.
func TestFieldBoardComesAndGoes(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	s.press("g", "c", "enter")
	if s.boardUp() || s.run.List() != "go" {
		t.Errorf("with no field board: %q", s.run.List())
	}
	s.fieldOf(demoField(s), time.Minute)
	s.press("enter")
	s.run.Snap.Field = &deck.FieldNow{Board: s.run.Snap.Field.Board, Opened: s.run.Snap.Field.Opened, Armed: screentest.Epoch}
	s.do(show.Arm, 0, show.Command{})
	if s.boardUp() || s.mode != runMode {
		t.Error("the board stands over an armed show")
	}
	s.press("g")
	if s.boardUp() {
		t.Error("its key brings it over an armed show")
	}
	s.do(show.Cut, 0, show.Command{})
	if s.boardUp() {
		t.Error("it came back by itself")
	}
	s.press("g")
	if !s.boardUp() || !strings.Contains(s.View(), "expected 12, answering 1") {
		t.Errorf("its key does not bring it back:\n%s", s.View())
	}
}

// What does not fit is counted, the chosen device is always in sight, and pressing a
// row chooses it.
func TestFieldBoardScrolls(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	s.fieldOf(manyDevices(40), time.Minute)
	for i := range 50 {
		s.View()
		v := &s.field
		if at := s.chosen(); at < v.top || at >= v.top+v.shown || at != min(i, 39) {
			t.Fatalf("after %d presses row %d is chosen, and %d to %d are in sight", i, at, v.top, v.top+v.shown)
		}
		if more := fmt.Sprintf("%d more: %d above, %d below", 40-v.shown, v.top, 40-v.shown-v.top); !strings.Contains(s.View(), more) {
			t.Fatalf("no line says %s:\n%s", more, s.View())
		}
		s.press("down")
	}
	s.Update(screen.MouseMsg{X: 5, Y: s.field.first + 1})
	if got := s.chosen(); got != s.field.top+1 {
		t.Errorf("pressed row %d, and %d is chosen", s.field.top+1, got)
	}
}

// manyDevices is a field of n modules, some with a fault.
func manyDevices(n int) board.Field {
	f := board.Field{Seed: 3}
	for i := range n {
		f.Devices = append(f.Devices, board.Device{Want: board.Want{Name: fmt.Sprintf("M%d", i+1), Position: fmt.Sprintf("Position %d", i%6+1), Pins: []int{1, 2, 3, 4}},
			Nominal: board.Nominal{SignalDB: 22, ChargeNeeded: 0.6}, Fix: board.Fix{Walk: time.Minute, Work: time.Minute}})
	}
	for i := 5; i < n; i += 25 {
		wrong := []board.Fault{board.Missing, board.LowCharge, board.OpenPin, board.Weak}
		f.Plants = append(f.Plants, board.Plant{Device: f.Devices[i].Name, Fault: wrong[i/25%len(wrong)]})
	}
	return f
}

// BenchmarkFieldBoard draws one screen with the field board in full colour. Anew is
// with the readings worked out anew, as ten times a second.
func BenchmarkFieldBoard(b *testing.B) {
	for _, size := range screentest.Sizes {
		for _, anew := range []bool{false, true} {
			b.Run(fmt.Sprintf("%dx%d/300devices/anew=%t", size[0], size[1], anew), func(b *testing.B) {
				s := newScene(b, size[0], size[1])
				s.fieldOf(manyDevices(300), time.Minute, board.Deed{At: 10 * time.Second, Act: board.Repair, Device: "M7"})
				s.Theme = screen.NewTheme("dark", termenv.TrueColor)
				b.ReportAllocs()
				for b.Loop() {
					if anew {
						s.field.of = nil
					}
					s.View()
				}
			})
		}
	}
}
