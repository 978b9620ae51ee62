package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"drylane/playback/sessions"
	"drylane/show/session"
	"drylane/testdata/reftest"
)

// TestLogVanishesInTheRun: a run whose log is deleted goes on, ends with an error
// that says where the session is, and there it is: every event that was shown, and
// the score of a drill.
func TestLogVanishesInTheRun(t *testing.T) {
	if testing.Short() || runtime.GOOS == "windows" {
		t.Skip("runs the program; no open file can be deleted on Windows")
	}
	binary, script := buildBinary(t), filepath.Join(t.TempDir(), "script")
	if err := os.WriteFile(script, []byte(killScript()), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct{ name, command, wanted string }{
		{"rehearsal", "demo", "ended"},
		{"drill", "drill run fallout", "Score:"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			dir := t.TempDir()
			logs := filepath.Join(dir, "logs")
			if err := os.Mkdir(logs, 0o700); err != nil {
				t.Fatal(err)
			}
			args := append(strings.Fields(tt.command), "--auto", script, "--out", "silent", "--speed", "50", "--log", filepath.Join(logs, "run.jsonl"))
			cmd := exec.Command(binary, args...)
			cmd.Env = append(os.Environ(), "XDG_DATA_HOME="+filepath.Join(dir, "data"))
			var out, errOut bytes.Buffer
			cmd.Stdout, cmd.Stderr = &out, &errOut
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			for began := time.Now(); time.Since(began) < reftest.Patience; time.Sleep(time.Millisecond) {
				if list, err := os.ReadDir(logs); err != nil || len(list) > 0 {
					break
				}
			}
			if err := os.RemoveAll(logs); err != nil {
				t.Error(err)
			}
			if err := cmd.Wait(); err == nil {
				t.Error("the run ended as if nothing had been wrong")
			}
			moved := filepath.Join(dir, "data", "drylane", "sessions", "run.jsonl")
			if want := "the whole session is in " + moved; !strings.Contains(errOut.String(), want) {
				t.Errorf("said %q; wanted %q", errOut.String(), want)
			}
			log, err := sessions.Read(moved)
			if err != nil {
				t.Fatal(err)
			}
			if n := len(log.Entries); n < 10 || log.Entries[n-1].Kind != session.KindClosed {
				t.Errorf("%d events are in the file", n)
			}
			if text := out.String(); !strings.Contains(text, moved) || !strings.Contains(text, tt.wanted) {
				t.Errorf("printed %s", text)
			}
		})
	}
}
