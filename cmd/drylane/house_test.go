package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const root = "../.."

// signalRooms are the packages of playback that know numbers and frames, and no cue
// and no show. Of show they may import only show/timebase.
var signalRooms = []string{
	"playback", "playback/align", "playback/cache", "playback/calls", "playback/follow", "playback/gapless", "playback/internal/dsp", "playback/internal/evaluate",
	"playback/input", "playback/internal/plainfile", "playback/internal/soundserver", "playback/internal/truth",
	"playback/internal/window", "playback/internal/demo/score", "playback/listen", "playback/loudness", "playback/ltc", "playback/metronome", "playback/onset", "playback/phrase",
	"playback/output", "playback/resample", "playback/riff", "playback/synth", "playback/tracks", "playback/wavtest",
}

// engineRooms are the packages of playback that play shows on sound.
var engineRooms = []string{
	"playback/accents", "playback/calibration", "playback/codefile", "playback/companion", "playback/crew", "playback/crewpage", "playback/cuemarkers", "playback/deck", "playback/desk", "playback/disk", "playback/drills",
	"playback/evening", "playback/fitness", "playback/folder", "playback/following", "playback/inspect", "playback/internal/demo",
	"playback/internal/demo/cuelist", "playback/internal/planted", "playback/internal/trial", "playback/knock", "playback/people", "playback/rehearsal", "playback/sessions", "playback/signatures", "playback/sink",
}

// mayImport reports whether the package in folder from may import the one in
// folder to: one chain, cmd -> tui -> playback -> show.
func mayImport(from, to string) bool {
	floors := []string{"show", "playback", "tui", "cmd"}
	floor := func(folder string) int { return slices.Index(floors, strings.Split(folder, "/")[0]) }
	switch {
	case to == "testdata": // the demo show and the drills
		return floor(from) == floor("cmd")
	case from == "tui/screen": // what all screens share knows none of them
		return floor(to) >= 0 && floor(to) < floor("tui") || strings.HasPrefix(to, "tui/internal/")
	case slices.Contains(signalRooms, from):
		return to == "show/timebase" || slices.Contains(signalRooms, to)
	}
	return floor(to) >= 0 && floor(to) <= floor(from) && floor(to) != floor("cmd")
}

// sources calls fn for every Go file of the tree, with its folder.
func sources(t *testing.T, fn func(folder, path string, f *ast.File)) {
	t.Helper()
	checked := 0
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") {
			return err
		}
		rel, _ := filepath.Rel(root, path)
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		checked++
		fn(filepath.ToSlash(filepath.Dir(rel)), filepath.ToSlash(rel), f)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if checked < 50 {
		t.Errorf("only %d files were checked: the walk went wrong", checked)
	}
}

// TestImportsGoOneWay holds the rules of the house. Tests may also use what lies
// in testdata, the demo show above all.
func TestImportsGoOneWay(t *testing.T) {
	sources(t, func(folder, path string, f *ast.File) {
		for _, imp := range f.Imports {
			name, _ := strconv.Unquote(imp.Path.Value)
			ours, ok := strings.CutPrefix(name, "drylane/")
			if !ok || strings.HasSuffix(path, "_test.go") && strings.HasPrefix(ours, "testdata") {
				continue
			}
			if !mayImport(folder, ours) {
				t.Errorf("%s may not import %s", path, ours)
			}
		}
	})
}

// TestPlaybackIsSorted: every package of playback is signal or engine.
func TestPlaybackIsSorted(t *testing.T) {
	seen := map[string]bool{}
	sources(t, func(folder, path string, _ *ast.File) {
		if seen[folder] || strings.Split(folder, "/")[0] != "playback" {
			return
		}
		seen[folder] = true
		if slices.Contains(signalRooms, folder) == slices.Contains(engineRooms, folder) {
			t.Errorf("%s must be named once: as signal or as engine", folder)
		}
	})
	for _, folder := range slices.Concat(signalRooms, engineRooms) {
		if !seen[folder] {
			t.Errorf("%s is named and has no Go file", folder)
		}
	}
}

// tools make the demo, or measure and test: they never run in the program. What
// lies below one belongs to it.
var tools = []string{"playback/internal/demo", "playback/internal/evaluate", "playback/internal/planted", "playback/internal/trial", "playback/internal/truth", "playback/wavtest", "testdata/reftest"}

// TestToolsAreNotShipped follows the imports of the program from one package to
// the next, tests left out, and meets no tool.
func TestToolsAreNotShipped(t *testing.T) {
	imports := map[string][]string{}
	sources(t, func(folder, path string, f *ast.File) {
		for _, imp := range f.Imports {
			name, _ := strconv.Unquote(imp.Path.Value)
			if ours, ok := strings.CutPrefix(name, "drylane/"); ok && !strings.HasSuffix(path, "_test.go") {
				imports[folder] = append(imports[folder], ours)
			}
		}
	})
	shipped := []string{"cmd/drylane"}
	for i := 0; i < len(shipped); i++ {
		for _, to := range imports[shipped[i]] {
			if slices.ContainsFunc(tools, func(tool string) bool { return strings.HasPrefix(to+"/", tool+"/") }) {
				t.Errorf("%s imports %s and is part of the program", shipped[i], to)
			}
			if !slices.Contains(shipped, to) {
				shipped = append(shipped, to)
			}
		}
	}
	if !slices.Contains(shipped, "playback/gapless") {
		t.Errorf("the program is made of %q: the walk went wrong", shipped)
	}
}

// TestShowIsPure: the transport's folder reaches no file, clock, device or
// terminal by itself.
func TestShowIsPure(t *testing.T) {
	banned := []string{"os", "net", "os/exec", "syscall", "net/http", "github.com/charmbracelet/bubbletea", "github.com/charmbracelet/lipgloss"}
	err := filepath.WalkDir(filepath.Join(root, "show"), func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if strings.Contains(string(text), "time.Now()") {
			t.Errorf("%s reads the clock", path)
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, text, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, imp := range f.Imports {
			if name, _ := strconv.Unquote(imp.Path.Value); slices.Contains(banned, name) {
				t.Errorf("%s imports %s", path, name)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// TestTopLevel: nothing but the agreed folders and files.
func TestTopLevel(t *testing.T) {
	allowed := []string{"cmd", "tui", "playback", "show", "testdata", "go.mod", "go.sum", "README.md", "DEVELOPERS.md", "LICENSE"}
	list, err := os.ReadDir(root)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range list {
		if name := e.Name(); !strings.HasPrefix(name, ".") && !slices.Contains(allowed, name) {
			t.Errorf("%s does not belong at the top level", name)
		}
	}
}

// TestReadmeTests: what the README tells a newcomer to run is what every change
// must pass, to the letter.
func TestReadmeTests(t *testing.T) {
	readme, err := os.ReadFile(filepath.Join(root, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	ci, err := os.ReadFile(filepath.Join(root, ".ci", "run"))
	if err != nil {
		t.Fatal(err)
	}
	_, section, _ := strings.Cut(string(readme), "\n## Test\n")
	blocks := strings.Split(section, "```\n")
	if len(blocks) != 5 {
		t.Fatalf("the README's section on tests has %d commands, want the tests and those in real time", len(blocks)/2)
	}
	for i := 1; i < len(blocks); i += 2 {
		if !strings.Contains(string(ci), "\n"+blocks[i]) {
			t.Errorf(".ci/run does not run %q", blocks[i])
		}
	}
}
