package evening

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"drylane/playback/folder"
	"drylane/playback/rehearsal"
	"drylane/playback/sessions"
	"drylane/playback/sink"

	"github.com/adrg/xdg"
)

// nightFolder is a folder of two shows, 1-first and 2-second, of which both use
// pin 1 of module M1 if they clash.
func nightFolder(t *testing.T, clash bool) string {
	t.Helper()
	dir := t.TempDir()
	for i, name := range []string{"1-first", "2-second"} {
		show := filepath.Join(dir, name)
		if err := folder.WriteStarter(show); err != nil {
			t.Fatal(err)
		}
		module := "M1"
		if i == 1 && !clash {
			module = "M2"
		}
		for file, text := range map[string]string{
			"show.toml": "title = \"" + strings.ToUpper(name[2:]) + " SHOW\"\ncues = \"cues.csv\"\nsoundtrack.file = \"soundtrack.wav\"\n",
			"cues.csv":  "cue,effect_at,position,module,pin\n1,0.2,A," + module + ",1\n",
		} {
			if err := os.WriteFile(filepath.Join(show, file), []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
	return dir
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
		folders, err := folder.List(dir)
		if err != nil {
			t.Fatal(err)
		}
		v := New(t.Context(), folders, rehearsal.Options{Out: sink.Place{Where: "silent", Speed: "1"}})
		if len(v.lines) != 2 || v.lines[1].Title != "SECOND SHOW" || v.lines[1].Cues != 1 || v.lines[1].Problem != "" {
			t.Fatalf("lines %+v", v.lines)
		}
		logs := map[string]bool{}
		for i := range folders {
			o, err := v.Open(i)
			if err != nil {
				t.Fatal(err)
			}
			logs[o.Run.Log.Name()] = true
			if stops := o.Run.Deck.Snapshot().Stops; (len(stops) > 0) != clash {
				t.Errorf("clash %v: stops %q", clash, stops)
			}
			if _, err := v.Open(1 - i); err == nil {
				t.Error("two shows were open at once")
			}
			if err := v.Close(); err != nil {
				t.Error(err)
			}
		}
		if len(logs) != 2 {
			t.Errorf("logs %v, want one for each show", logs)
		}
		for log := range logs {
			if l, err := sessions.Read(log); err != nil || !strings.Contains(l.Header.Title, "SHOW") {
				t.Errorf("%s: %v", log, err)
			}
		}
		if said, err := v.End(); err != nil || len(said) != 2 {
			t.Errorf("%v; told of %q", err, said)
		}
		if _, err := v.Open(0); err == nil {
			t.Error("a show was opened after the night")
		}
	}
}
