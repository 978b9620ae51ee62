package console

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"drylane/tui/screen"

	"github.com/pelletier/go-toml/v2"
)

// TestNoMessageIsCutInAnyKeymap: with the keys of each map that comes along no message
// and no key ends in an ellipsis, in the smallest window.
func TestNoMessageIsCutInAnyKeymap(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("../settings/keymaps/*.toml")
	if err != nil || len(files) == 0 {
		t.Fatalf("%d key maps: %v", len(files), err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var of struct{ Keys map[string][]string }
		if err := toml.Unmarshal(text, &of); err != nil {
			t.Fatal(err)
		}
		keys, err := screen.NewKeymap(Keys, of.Keys)
		if err != nil {
			t.Fatal(err)
		}
		names := slices.Collect(maps.Keys(readyScenes))
		for _, name := range append(names, []string{"safe", "uncalibrated", "briefing", "armed", "running", "held", "salvo-held", "lost", "ended", "listening"}...) {
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
					t.Errorf("%s, %s: %s", filepath.Base(file), name, lines[y])
				}
			}
		}
	}
}
