package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/adrg/xdg"
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

// TestShowFolders: what the arguments mean, and in which order.
func TestShowFolders(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"b/show.toml", "a/show.toml", "10/show.toml", "notes/readme", "deep/inner/show.toml", "deep/show.toml", "show.toml.bak"} {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	in := func(names ...string) []string {
		for i := range names {
			names[i] = filepath.Join(dir, names[i])
		}
		return names
	}
	for _, c := range []struct{ args, want []string }{
		{in("."), in("10", "a", "b", "deep")},
		{in("b", "a"), in("b", "a")},
		{in("deep", "deep/inner"), in("deep", "deep/inner")},
		{in("notes"), in("notes")},
		{in("nowhere"), in("nowhere")},
		{in("a", "nowhere"), in("a", "nowhere")},
	} {
		if got, err := showFolders(c.args...); err != nil || !slices.Equal(got, c.want) {
			t.Errorf("%q: %q, %v, want %q", c.args, got, err, c.want)
		}
	}
	for _, args := range [][]string{in("a", "a"), in(".", "a"), {filepath.Join(dir, "a"), dir + "/b/../a"}} {
		if got, err := showFolders(args...); err == nil {
			t.Errorf("%q: %q, want an error", args, got)
		}
	}
}

// ownHome gives the test a user of its own, with no sound server.
func ownHome(t *testing.T) {
	t.Cleanup(xdg.Reload) // after the variables are back
	home := t.TempDir()
	for _, v := range []string{"XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME"} {
		t.Setenv(v, home)
	}
	t.Setenv("PULSE_SERVER", "unix:"+filepath.Join(home, "none"))
	xdg.Reload()
}

// TestEvening opens the shows of a night one after the other: each has a deck
// and a log of its own, no two are open at once, and shows that need the same
// pin may not be armed.
func TestEvening(t *testing.T) {
	ownHome(t)
	for _, clash := range []bool{false, true} {
		dir := nightFolder(t, clash)
		folders, err := showFolders(dir)
		if err != nil {
			t.Fatal(err)
		}
		f := runFlags{}
		f.Out, f.Speed = "silent", "1"
		e := quietEnv(t.Context())
		e.outFile = os.Stdout
		v := newEvening(e, f, folders)
		if len(v.lines) != 2 || v.lines[1].Title != "SECOND SHOW" || v.lines[1].Cues != 1 || v.lines[1].Problem != "" {
			t.Fatalf("lines %+v", v.lines)
		}
		logs := map[string]bool{}
		for i := range folders {
			run, err := v.open(i)
			if err != nil {
				t.Fatal(err)
			}
			logs[run.Stage.Log] = true
			if stops := run.Stage.Run.Snapshot().Stops; (len(stops) > 0) != clash {
				t.Errorf("clash %v: stops %q", clash, stops)
			}
			if _, err := v.open(1 - i); err == nil {
				t.Error("two shows were open at once")
			}
			if err := v.close(); err != nil {
				t.Error(err)
			}
		}
		if len(logs) != 2 {
			t.Errorf("logs %v, want one for each show", logs)
		}
		for log := range logs {
			if l, err := readLog(log); err != nil || !strings.Contains(l.Header.Title, "SHOW") {
				t.Errorf("%s: %v", log, err)
			}
		}
		if err := v.end(); err != nil || len(v.said) != 2 {
			t.Errorf("%v; told of %q", err, v.said)
		}
		if _, err := v.open(0); err == nil {
			t.Error("a show was opened after the night")
		}
	}
}

// TestNightInATerminal goes through a night in a real terminal: a show that is
// cut, then the other, with a look at the list in between.
func TestNightInATerminal(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program and runs it in real time")
	}
	dir := nightFolder(t, false)
	x := openTerminal(t, 90, 24, "rehearse", dir)
	x.sees("THE NIGHT  0 of 2 ended", "▸ FIRST SHOW", "SECOND SHOW", "not yet run", "not locked")
	x.press("Enter")
	x.sees("any key goes on")
	x.press("x")
	x.sees("SAFE", "FIRST SHOW", "a ARM")
	x.press("a")
	x.sees("ARMED")
	x.press("Enter")
	x.sees("RUNNING", "no more cues")
	x.press("BSpace")
	x.sees("SAFE", "a ARM")
	x.press("q")
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
