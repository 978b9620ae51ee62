package main

import (
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

// mayImport says which of our own folders the packages of a folder may import.
// Tests may also use the harness in playback/reftest.
var mayImport = map[string][]string{
	"show":     {"show"},
	"playback": {"playback"},
	"tui":      {"tui", "show", "playback"},
	"cmd":      {"cmd", "tui", "show", "playback", "testdata"},
	"testdata": {"testdata", "show", "playback"},
}

// TestImportsGoOneWay holds the house's rule: show never imports playback or
// tui, playback never imports show, and nothing imports cmd.
func TestImportsGoOneWay(t *testing.T) {
	checked := 0
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") {
			return err
		}
		rel, _ := filepath.Rel(root, path)
		top := strings.Split(filepath.ToSlash(rel), "/")[0]
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		checked++
		for _, imp := range f.Imports {
			name, _ := strconv.Unquote(imp.Path.Value)
			ours, ok := strings.CutPrefix(name, "drylane/")
			if !ok {
				continue
			}
			test := strings.HasSuffix(path, "_test.go")
			if test && (ours == "playback/reftest" || strings.HasPrefix(ours, "testdata")) {
				continue
			}
			if folder := strings.Split(ours, "/")[0]; !slices.Contains(mayImport[top], folder) {
				t.Errorf("%s imports %s; %s may import %v", rel, name, top, mayImport[top])
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if checked < 50 {
		t.Errorf("only %d files were checked: the walk went wrong", checked)
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
