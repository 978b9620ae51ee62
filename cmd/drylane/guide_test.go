package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"drylane/testdata/reftest"
)

// TestRealTimeGuide: a foreign list becomes a show by two keys, and the profile that
// they settle makes the same show again without a person.
func TestRealTimeGuide(t *testing.T) {
	reftest.RealTime(t)
	if testing.Short() {
		t.Skip("builds the program and runs it in real time")
	}
	dir := t.TempDir()
	list, kept := filepath.Join(dir, "plan.csv"), filepath.Join(dir, "kept.toml")
	if err := os.WriteFile(list, []byte("No.;Break (s);Ignition;Site;Description\n1;12.5;10.3;Left;red peony shell\n2;44.0;41.8;Right;red peony shell\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	x := openTerminal(t, 80, 24, "import", list, "--to", filepath.Join(dir, "one"), "--guide")
	x.sees("look at each ?", "? 2 Break (s)", "? 3 Ignition")
	x.press("Enter")
	x.sees("keep these settings in the file: plan-columns.toml_")
	x.press(slices.Repeat([]string{"BSpace"}, len("plan-columns.toml"))...)
	x.press("-l", kept)
	x.press("Enter")
	x.sees("2 cues", "kept.toml: written")
	c := &importCmd{File: list, To: filepath.Join(dir, "two"), Profile: kept}
	e, out := testEnv(t)
	if err := c.Run(e); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	one, err := os.ReadFile(filepath.Join(dir, "one", "cues.csv"))
	two, err2 := os.ReadFile(filepath.Join(dir, "two", "cues.csv"))
	if err != nil || err2 != nil || string(one) != string(two) || !strings.Contains(string(one), "1,12.500,2.200,Left") {
		t.Errorf("%v %v\n%s\n%s", err, err2, one, two)
	}
}
