// Package screentest helps the tests of the screens: golden files, and a run
// that a test moves by hand.
package screentest

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	_ "github.com/charmbracelet/x/exp/golden" // for its flag -update
)

// Root is the top of the tree, as seen from the folder of a screen.
const Root = "../.."

// Epoch is when every test looks at its screen.
var Epoch = time.Date(2026, 11, 25, 21, 0, 0, 0, time.UTC)

// Sizes are the windows that the golden screens are drawn in, width first.
var Sizes = [][2]int{{80, 24}, {120, 36}, {200, 60}}

// Updating reports whether the golden screens are to be written anew.
func Updating() bool { return flag.Lookup("update").Value.String() == "true" }

// File is where the golden screen of that name is kept.
func File(name string) string { return filepath.Join(Root, "testdata", "screens", name+".txt") }

// Golden compares a screen with the file of that name.
func Golden(t testing.TB, name, got string) {
	t.Helper()
	if Updating() {
		if err := os.WriteFile(File(name), []byte(got+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(File(name))
	if err != nil {
		t.Fatal(err)
	}
	if got+"\n" == string(want) {
		return
	}
	g, w := strings.Split(got, "\n"), strings.Split(strings.TrimSuffix(string(want), "\n"), "\n")
	for i := range max(len(g), len(w)) {
		var a, b string
		if i < len(g) {
			a = g[i]
		}
		if i < len(w) {
			b = w[i]
		}
		if a != b {
			t.Errorf("%s line %d:\n got %s\nwant %s", name, i+1, a, b)
		}
	}
}

// Fits checks that a screen has the lines of its window and passes no edge.
func Fits(t interface{ Errorf(string, ...any) }, name, screen string, w, h int) {
	lines := strings.Split(screen, "\n")
	if len(lines) != h {
		t.Errorf("%s at %dx%d has %d lines", name, w, h, len(lines))
	}
	for i, l := range lines {
		if n := ansi.StringWidth(l); n > w {
			t.Errorf("%s at %dx%d: line %d is %d columns wide", name, w, h, i+1, n)
		}
	}
}
