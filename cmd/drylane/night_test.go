package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"drylane/testdata/reftest"
)

// nightFolder is a folder of two shows, 1-first and 2-second, of which both use
// pin 1 of module M1 if they clash.
func nightFolder(t *testing.T, clash bool) string {
	t.Helper()
	dir := t.TempDir()
	for i, name := range []string{"1-first", "2-second"} {
		folder := filepath.Join(dir, name)
		if code := run([]string{"new", folder}); code != exitOK {
			t.Fatalf("drylane new: exit code %d", code)
		}
		module := "M1"
		if i == 1 && !clash {
			module = "M2"
		}
		for file, text := range map[string]string{
			"show.toml": "title = \"" + strings.ToUpper(name[2:]) + " SHOW\"\ncues = \"cues.csv\"\nsoundtrack.file = \"soundtrack.wav\"\n",
			"cues.csv":  "cue,effect_at,position,module,pin\n1,0.2,A," + module + ",1\n",
		} {
			if err := os.WriteFile(filepath.Join(folder, file), []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
	return dir
}

// TestRealTimeNight goes through a night in a real terminal: a show that is
// cut, then the other, with a look at the list in between.
func TestRealTimeNight(t *testing.T) {
	reftest.RealTime(t)
	dir := nightFolder(t, false)
	x := openTerminal(t, 90, 24, "rehearse", dir)
	x.sees("THE NIGHT  0 of 2 ended", "▸ FIRST SHOW", "SECOND SHOW", "not yet run", "not locked")
	x.press("Enter")
	x.sees("any key goes on")
	x.press("x")
	x.sees("SAFE", "FIRST SHOW", "a ARM")
	x.arms()
	x.press("Enter")
	x.sees("RUNNING", "no more cues")
	x.press("BSpace")
	x.sees("SAFE", "a ARM")
	x.press("q")
	x.sees("Quit the rehearsal?")
	x.press("y")
	x.sees("THE NIGHT", "cut at 0:0", "not yet run")
	x.press("C-z")
	x.sees("stopped by the terminal")
	x.press("-l", "fg")
	x.press("Enter")
	x.sees("THE NIGHT")
	x.press("Down", "Enter")
	x.sees("SAFE", "SECOND SHOW", "a ARM")
	x.press("s")
	x.sees("SOUND CHECK")
	x.press("q")
	x.sees("SAFE", "a ARM")
	x.press("q")
	x.sees("THE NIGHT", "▸ SECOND SHOW")
	x.press("q")
	x.sees("FIRST SHOW: safe", "SECOND SHOW: safe", "session log:")
}
