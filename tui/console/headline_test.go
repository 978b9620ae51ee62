package console

import (
	"maps"
	"strings"
	"testing"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"
)

// large is a word as it stands on the screen, row by row.
func large(word string, stroke, h int) []string {
	var c screen.Canvas
	c.Resize(tea.WindowSizeMsg{Width: screen.LargeWidth(word, stroke), Height: h})
	c.Begin(screen.Look{}).Large(0, 0, stroke, h, word, screen.Normal)
	return strings.Split(c.Render(screen.PlainTheme()), "\n")
}

// shows reports whether a screen has a word as large as its clock.
func (s *scene) shows(word string) bool {
	lines := strings.Split(s.View(), "\n")
	if s.lay.large.W == 0 || s.lay.large.H != s.lay.Clock.H {
		return false
	}
	for i, row := range large(word, s.lay.stroke, s.lay.large.H) {
		if !strings.Contains(lines[s.lay.large.Y+i], row) {
			return false
		}
	}
	return true
}

// TestHeadline: what the run demands is as large as the clock in every window: the
// state, what is not clear, a device that is lost, a count, an order by radio until it
// is followed.
func TestHeadline(t *testing.T) {
	t.Parallel()
	radio := func(s *scene, text string, age time.Duration) {
		s.run.Snap.Radio = []deck.RadioCall{{At: screentest.Epoch.Add(-age), From: "spotter", Text: text}}
		s.look(screentest.Epoch)
	}
	for _, tt := range []struct {
		name  string
		scene func(s *scene)
		want  string
	}{
		{"safe", scenes["safe"], "SAFE"},
		{"armed", scenes["armed"], "ARMED"},
		{"running", scenes["running"], "RUNNING"},
		{"not clear", scenes["held"], "NOT CLEAR"},
		{"clear by the list", func(s *scene) {
			scenes["held"](s)
			s.run.Snap.Since = screentest.Epoch.Add(-time.Minute)
			s.look(screentest.Epoch)
		}, "HELD"},
		{"lost", scenes["lost"], "NO SOUND"},
		{"lost while armed", func(s *scene) { scenes["armed"](s); s.run.Snap.Lost = true; s.look(screentest.Epoch) }, "NO SOUND"},
		{"counted in", func(s *scene) {
			scenes["held"](s)
			s.run.Snap.ResumesAt = screentest.Epoch.Add(2500 * time.Millisecond)
			s.look(screentest.Epoch)
		}, "RESUME 3"},
		{"ordered to hold", func(s *scene) { scenes["running"](s); radio(s, "Person by the Jetty. Hold.", time.Second) }, "HOLD"},
		{"ordered to cut", func(s *scene) { scenes["held"](s); radio(s, "Cut, cut, cut.", time.Second) }, "CUT"},
		{"called clear", func(s *scene) {
			scenes["held"](s)
			s.run.Snap.Since = screentest.Epoch.Add(-time.Minute)
			radio(s, "Fallout area is clear.", time.Second)
		}, "CLEAR"},
		{"called clear with effects still up", func(s *scene) { scenes["held"](s); radio(s, "Water is clear.", time.Second) }, "NOT CLEAR"},
		{"held as ordered", func(s *scene) { scenes["held"](s); radio(s, "Hold.", time.Second) }, "NOT CLEAR"},
		{"ordered long ago", func(s *scene) { scenes["running"](s); radio(s, "Hold.", radioFor+1) }, "RUNNING"},
	} {
		for _, size := range screentest.Sizes {
			s := newScene(t, size[0], size[1])
			tt.scene(s)
			if !s.shows(tt.want) {
				t.Errorf("%s, %s: no %s\n%s", tt.name, s.size(), tt.want, s.View())
			}
		}
	}
}

// TestRadioIsWhole: a new message stands on the screen to its last word.
func TestRadioIsWhole(t *testing.T) {
	t.Parallel()
	words := strings.Fields("Spotter to desk. Two persons in the fallout area by the north end of the Jetty, one of them lying down, the other one is waving at us and does not move away. Hold.")
	for _, size := range screentest.Sizes {
		s := newScene(t, size[0], size[1])
		s.runTo(30 * time.Second)
		s.run.Snap.Radio = []deck.RadioCall{{At: screentest.Epoch, From: "spotter", Text: strings.Join(words, " ")}}
		s.look(screentest.Epoch)
		if v := strings.Join(strings.Fields(s.View()), " "); !strings.Contains(v, strings.Join(words, " ")) {
			t.Errorf("%s:\n%s", s.size(), s.View())
		}
	}
}

// TestCountdownIsLarge: where the window allows, the time to the next cue is as large
// as the clock.
func TestCountdownIsLarge(t *testing.T) {
	t.Parallel()
	for _, size := range [][2]int{{120, 36}, {200, 60}} {
		s := newScene(t, size[0], size[1])
		scenes["held"](s)
		s.View()
		if r := s.lay.next; r.W == 0 || r.H != s.lay.Clock.H || s.canvas.At(r.X, r.Y).Rune != '█' {
			t.Errorf("%s: %+v\n%s", s.size(), r, s.View())
		}
	}
}

// TestHeldDiffersInShape: in every theme a hold fills what a run leaves empty, so
// that the two differ in more than a shade.
func TestHeldDiffersInShape(t *testing.T) {
	t.Parallel()
	for _, name := range screen.ThemeNames {
		band := map[string]screen.Style{}
		for _, state := range []string{"running", "held"} {
			s := newScene(t, 80, 24)
			scenes[state](s)
			s.View()
			band[state] = s.canvas.At(0, s.lay.Clock.Y).Style
		}
		theme := screen.NewTheme(name, termenv.TrueColor)
		if theme.Fills(band["running"]) || !theme.Fills(band["held"]) {
			t.Errorf("%s: running fills %t, held fills %t", name, theme.Fills(band["running"]), theme.Fills(band["held"]))
		}
	}
	night := screen.NewTheme("night", termenv.TrueColor)
	if night.Fills(screen.BarRun) == night.Fills(screen.BarHeld) {
		t.Error("the night theme's bars differ in a shade of red alone")
	}
}

// TestLostIsAskedFor: without the sound device the message says what can be done, in
// whole, and the foot has its keys; armed as well as held.
func TestLostIsAskedFor(t *testing.T) {
	t.Parallel()
	for state, want := range map[string]string{
		"armed": "DEVICE LOST: enter tries to start, o goes on silent, backspace cuts",
		"lost":  "DEVICE LOST: enter tries to resume, o goes on silent, backspace cuts",
	} {
		for _, size := range screentest.Sizes {
			s := newScene(t, size[0], size[1])
			scenes[state](s)
			s.run.Snap.Lost = true
			s.look(screentest.Epoch)
			lines := strings.Split(s.View(), "\n")
			if v := s.View(); !strings.Contains(v, want) || !strings.Contains(lines[s.lay.keys.Y], "o SILENT") {
				t.Errorf("%s, %s:\n%s", state, s.size(), v)
			}
		}
	}
}

// TestMessageGoesWithItsState: what was refused in one state is not told in the next.
func TestMessageGoesWithItsState(t *testing.T) {
	t.Parallel()
	for _, urgency := range []deck.Urgency{deck.Plain, deck.Alarm} {
		s := newScene(t, 80, 24)
		scenes["held"](s)
		s.run.Snap.Message = deck.Message{Urgency: urgency, Text: "cannot hold: the show is safe", At: s.run.Snap.Since.Add(-time.Second)}
		s.look(screentest.Epoch)
		if v := s.View(); strings.Contains(v, "the show is safe") || !strings.Contains(v, "held: enter resumes from") {
			t.Error(v)
		}
	}
}

// TestLanesAreCounted: those without room are told, with the keys that bring them.
func TestLanesAreCounted(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	s.runTo(30 * time.Second)
	s.press("v") // ten modules
	n := 0
	s.View()
	for _, row := range s.rows {
		if row >= 0 {
			n++
		}
	}
	want := map[int]string{4: "+4 lanes: v, z or arrows", 3: "+3 lanes: v, z or arrows", 2: "+2 lanes: v, z or arrows"}[len(s.rows)-n]
	if v := s.View(); want == "" || !strings.Contains(v, want) {
		t.Errorf("%d of %d lanes in sight:\n%s", n, len(s.rows), v)
	}
}

// TestEffectsGetTheWidth: panels with nothing to say leave theirs to the names.
func TestEffectsGetTheWidth(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	s.runTo(58900 * time.Millisecond)
	if v := s.View(); !strings.Contains(v, "19 shot crackling cake") {
		t.Error(v)
	}
}

// TestLockIsInSight: while the music is being read, too.
func TestLockIsInSight(t *testing.T) {
	t.Parallel()
	for _, size := range screentest.Sizes {
		s := newScene(t, size[0], size[1])
		s.Lock = func() string { return "NOT AS LOCKED: cues.csv changed" }
		s.Overview = func() (float64, time.Duration) { return 0.3, 12 * time.Second }
		for _, a := range []show.Action{show.Reset, show.Arm} {
			if a == show.Arm {
				s.do(show.Arm, 0, show.Command{})
			}
			if v := s.View(); !strings.Contains(v, "NOT AS LOCKED: cues.csv changed") || !strings.Contains(v, "Reading music: 30 %, 12 s; esc stops it") {
				t.Errorf("%s:\n%s", s.size(), v)
			}
		}
	}
}

// TestNudgeIsWhole: what a nudge has made due at once, and what is asked for while it
// is not in force yet, stand in whole beside it.
func TestNudgeIsWhole(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]string{"salvo": "EARLIER 5.0 s  16 being spread", "salvo-held": "EARLIER 10.0 s  39 due at once"} {
		s := newScene(t, 80, 24)
		scenes[name](s)
		if v := s.View(); !strings.Contains(v, want) {
			t.Errorf("%s: no %q\n%s", name, want, v)
		}
	}
}

// TestNoFactIsCut: in no scene does a fact, the message or a key end in an ellipsis, but
// for names of outputs and drift's long sentences.
func TestNoFactIsCut(t *testing.T) {
	t.Parallel()
	all := maps.Clone(scenes)
	maps.Copy(all, readyScenes)
	for _, size := range screentest.Sizes {
		for name, enter := range all {
			s := newScene(t, size[0], size[1])
			enter(s)
			s.settle(func(h *hand) { h.mode = runMode })
			s.catchUp()
			lines := strings.Split(s.View(), "\n")
			var rows []int
			for i, r := range s.lay.facts {
				if i != factSound && i != factOutput {
					rows = append(rows, r.Y)
				}
			}
			for _, y := range append(rows, s.lay.message.Y, s.lay.keys.Y) {
				line := lines[y]
				if k := strings.Index(line, "SOUND"); k >= 0 {
					line = line[:k]
				}
				if k := strings.Index(line, "OUT "); k >= 0 {
					line = ""
				}
				if act, _, ok := strings.Cut(line, " again resumes: "); ok && y == s.lay.message.Y && !strings.Contains(act, "…") {
					continue // what is to be pressed stands first, and is whole
				}
				if strings.Contains(line, "…") {
					t.Errorf("%s, %s: %s", name, s.size(), line)
				}
			}
		}
	}
}

// TestLostWithoutAName: where the lost device has no name, the fact says so in words.
func TestLostWithoutAName(t *testing.T) {
	t.Parallel()
	for _, size := range screentest.Sizes {
		s := newScene(t, size[0], size[1])
		scenes["armed"](s)
		s.run.Snap.Lost, s.run.Snap.Output = true, ""
		s.look(screentest.Epoch)
		if got := s.View(); !strings.Contains(got, "SOUND  DEVICE LOST") {
			t.Errorf("%v:\n%s", size, got)
		}
	}
}
