package console

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/tui/screen"

	"github.com/pelletier/go-toml/v2"
)

// keymaps are the key maps that come along, by the names of their files, and that of the
// table.
func keymaps(t *testing.T) map[string]*screen.Keymap {
	t.Helper()
	files, err := filepath.Glob("../settings/keymaps/*.toml")
	if err != nil || len(files) == 0 {
		t.Fatalf("%d key maps: %v", len(files), err)
	}
	maps := map[string]*screen.Keymap{"none": screen.MustKeymap(Keys)}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var of struct{ Keys map[string][]string }
		if err := toml.Unmarshal(text, &of); err != nil {
			t.Fatal(err)
		}
		if maps[filepath.Base(file)], err = screen.NewKeymap(Keys, of.Keys); err != nil {
			t.Fatal(err)
		}
	}
	return maps
}

// TestNoMessageIsCutInAnyKeymap: with the keys of each map that comes along no message
// and no key ends in an ellipsis, in the smallest window.
func TestNoMessageIsCutInAnyKeymap(t *testing.T) {
	t.Parallel()
	for file, keys := range keymaps(t) {
		names := slices.Collect(maps.Keys(readyScenes))
		for _, name := range append(names, []string{"safe", "uncalibrated", "briefing", "armed", "running", "held", "salvo-held", "lost", "ended", "listening", "cut", "search", "ended-search", "re-entered", "follows", "follows-armed", "follows-held", "follows-elsewhere"}...) {
			s := newScene(t, 80, 24)
			switch enter, ready := scenes[name], readyScenes[name]; {
			case enter != nil:
				enter(s)
			case ready != nil:
				ready(s)
			default:
				s.Uncalibrated = "Ada"
			}
			s.Keys = keys
			s.settle(func(h *hand) { h.mode = runMode })
			s.catchUp()
			lines := strings.Split(s.View(), "\n")
			for _, y := range []int{s.lay.message.Y, s.lay.keys.Y} {
				if act, _, ok := strings.Cut(lines[y], " again resumes: "); ok && !strings.Contains(act, "…") {
					continue // what is to be pressed stands first, and is whole
				}
				if strings.Contains(lines[y], "…") {
					t.Errorf("%s, %s: %s", file, name, lines[y])
				}
			}
		}
	}
}

// TestNoBoxIsCutInAnyKeymap: neither is the list of places, nor any question, whatever the
// names of the keys at its foot; and they are named.
func TestNoBoxIsCutInAnyKeymap(t *testing.T) {
	t.Parallel()
	for file, keys := range keymaps(t) {
		for _, name := range []string{"cut-places", "places-by-hand", "seen", "no-go", "who"} {
			s := newScene(t, 80, 24)
			switch name {
			case "no-go":
				s.asks(goes("Radio check", "Field")...)
				s.press("n")
			case "who":
				s.safe(142*time.Second, nil, "Quay")
				s.press("c")
			default:
				scenes[name](s)
			}
			s.Keys = keys
			got := s.View()
			acts := []screen.Act{actZoomIn, actZoomOut, actEarlier, actLater, actLaneUp, actLaneDown, actArm, actGo}
			switch name {
			case "no-go", "who":
				acts = []screen.Act{actLaneUp, actLaneDown, actGo}
			case "seen":
				acts = []screen.Act{actPanel, actGo, actCuePrev, actCueNext, actLaneUp, actLaneDown}
			}
			_, box, _ := strings.Cut(got, "╭")
			box, _, _ = strings.Cut(box, "╰")
			for line := range strings.Lines(box) {
				if _, in, ok := strings.Cut(line, "│"); ok && strings.Contains(in[:max(0, strings.LastIndex(in, "│"))], "…") {
					t.Errorf("%s, %s: %s", file, name, line)
				}
			}
			for _, a := range acts {
				if !strings.Contains(box, keys.Name(a)+" ") && !strings.Contains(box, keys.Name(a)+";") {
					t.Errorf("%s, %s: the box does not name %s, for %s:\n%s", file, name, keys.Name(a), a, box)
				}
			}
		}
	}
}

// TestListsInAnyKeymap: the list of places and the question of what was seen can be used
// with the keys of each map, and what starts a show is in none of them reached from there.
func TestListsInAnyKeymap(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ file, scene, keys, want string }{
		{"left.toml", "cut-places", "w c c C 5", "re-enter 48.4s run-up 5s"},
		{"left.toml", "cut-places", "4 4 1 2", ""}, // 4 starts, and no digit types where one arms
		{"left.toml", "cut-places", "d S 5", "re-enter 50.3s run-up 4s"},
		{"right.toml", "cut-places", "up home pgup down 7", "re-enter 8s run-up 5s"},
		{"right.toml", "cut-places", "left shift+right 7", "re-enter 52.1s run-up 4s"},
		{"right.toml", "cut-places", "l enter 1 2", ""},
		{"gloves.toml", "cut-places", "ctrl+up ctrl+shift+up home", "re-enter 48.4s run-up 5s"},
		{"gloves.toml", "cut-places", "up down pgup tab enter left right", ""}, // no arrow arms
		{"gloves.toml", "cut-places", "ctrl+up shift+left left home tab", "re-enter 47.3s run-up 4s, go"},
		{"none", "cut-places", "shift+left left a", "re-enter 50.1s run-up 4s"},
		{"none", "seen", "tab tab enter enter enter", "did not go 41"}, // once, and it is never the run's
		{"none", "seen", "enter enter space", "hold"},
		{"left.toml", "seen", "q q 1 4 4", "did not go 40"},
		{"left.toml", "seen", "2 5", "arm"}, // 2 is no answer there: the question is gone, and the transport refuses
		{"right.toml", "seen", "4", "seen or heard  Quay"},
		{"right.toml", "seen", "enter enter l l", "did not go 41"},
		{"gloves.toml", "seen", "enter enter enter enter enter tab tab", "did not go  Quay"},
	} {
		s := newScene(t, 80, 24)
		scenes[tt.scene](s)
		s.Keys = keymaps(t)[tt.file]
		s.run.Did = nil
		s.press(strings.Fields(tt.keys)...)
		if got := s.run.List(); got != tt.want {
			t.Errorf("%s, %s, keys %q: %q, want %q", tt.file, tt.scene, tt.keys, got, tt.want)
		}
	}
}

// TestChosenLineIsSaidByGo: a line that is marked is the one that is said, also where the
// key that goes on is a digit.
func TestChosenLineIsSaidByGo(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	s.Keys = keymaps(t)["left.toml"]
	s.asks(goes("Radio check", "Field")...)
	s.press("g", "x", "x", "4")
	if got := s.run.List(); got != `no-go "Spotter" not ready` {
		t.Errorf("asked for %s", got)
	}
}

// TestSpokenInAnyKeymap: line mode names the keys of each map, and spells their arrows.
func TestSpokenInAnyKeymap(t *testing.T) {
	t.Parallel()
	for file, keys := range keymaps(t) {
		s := newScene(t, 80, 24)
		s.Setup.Keys = keys
		p := NewSpoken(s.Setup)
		p.Now = s.Now
		p.places.spawn = func(f func()) { f() }
		lines := p.tell()
		(&scene{p.Screen, s.run}).cutAt(50 * time.Second)
		lines = append(lines, p.tell()...)
		for _, act := range []screen.Act{actFollow, actPlaces, actPlaces, actSeen, actPanel, actHold, screen.ActHelp} {
			lines = append(lines, p.hear(keys.Of(act)[0])...)
		}
		said := strings.Join(lines, "\n")
		if strings.ContainsAny(said, "←→↑↓") {
			t.Errorf("%s: an arrow is not spelled:\n%s", file, said)
		}
		for _, act := range []screen.Act{actArm, actPlaces, actZoomIn, actLaneDown, actPanel} {
			if !strings.Contains(said, spokenKey(keys.Of(act)[0])) {
				t.Errorf("%s: %s is not named:\n%s", file, act, said)
			}
		}
	}
}
