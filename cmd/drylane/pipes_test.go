//go:build unix

package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// A trap is a folder with a copy of the demo show in it and pipes that nobody
// writes into.
type trap struct {
	*testing.T
	binary, dir string
}

func newTrap(t *testing.T) *trap {
	t.Helper()
	tr := &trap{t, buildBinary(t), t.TempDir()}
	tr.check(os.CopyFS(tr.at("show"), os.DirFS("../../testdata/demo/show")))
	tr.write("script", "+0 arm\n+0 start\n+1 cut\n")
	return tr
}

func (tr *trap) at(name string) string { return filepath.Join(tr.dir, filepath.FromSlash(name)) }

func (tr *trap) check(err error) {
	tr.Helper()
	if err != nil {
		tr.Fatal(err)
	}
}

func (tr *trap) write(name, text string) {
	tr.Helper()
	tr.check(os.MkdirAll(filepath.Dir(tr.at(name)), 0o700))
	tr.check(os.WriteFile(tr.at(name), []byte(text), 0o600))
}

// pipe puts a pipe in the place of whatever is there.
func (tr *trap) pipe(name string) {
	tr.Helper()
	tr.check(os.MkdirAll(filepath.Dir(tr.at(name)), 0o700))
	os.Remove(tr.at(name))
	tr.check(syscall.Mkfifo(tr.at(name), 0o600))
}

// command is the program in the trap's folder, with a home there; ctx ends it.
func (tr *trap) command(ctx context.Context, args ...string) *exec.Cmd {
	cmd := exec.CommandContext(ctx, tr.binary, args...)
	cmd.Dir = tr.dir
	cmd.Env = []string{"HOME=" + tr.dir, "PULSE_SERVER=unix:" + tr.at("none")}
	for _, v := range []string{"DATA", "STATE", "CONFIG", "CACHE"} {
		cmd.Env = append(cmd.Env, fmt.Sprintf("XDG_%s_HOME=%s", v, tr.at(strings.ToLower(v))))
	}
	return cmd
}

// hangs is when a command is given up: far beyond what any of them takes.
const hangs = time.Minute

// run runs a command to its end and returns what it printed, both ways.
func (tr *trap) run(args string) (said string, code int) {
	tr.Helper()
	ctx, cancel := context.WithTimeout(tr.Context(), hangs)
	defer cancel()
	out, err := tr.command(ctx, strings.Fields(args)...).CombinedOutput()
	var exit *exec.ExitError
	switch {
	case ctx.Err() != nil:
		tr.Errorf("drylane %s: still there after %v", args, hangs)
	case err != nil && !errors.As(err, &exit):
		tr.Errorf("drylane %s: %v", args, err)
	case exit != nil:
		code = exit.ExitCode()
	}
	return string(out), code
}

// refuses runs a command that has to fail and say why.
func (tr *trap) refuses(args string) {
	tr.Helper()
	if said, code := tr.run(args); code != exitWrong || !strings.Contains(said, "no ordinary file") {
		tr.Errorf("drylane %s: exit code %d, said %q; wanted 1 and that it is no ordinary file", args, code, said)
	}
}

// folderCommands are those that open a show folder and need all that is in it.
var folderCommands = []string{
	"rehearse show --auto script --out silent --speed max", "check show", "lock show", "review show",
	"export show --markers out.wav", "tracks show --to made", "retime show --to other --rate 100",
}

// TestPipeInAShow: whatever of a show is a pipe, no command waits for it.
func TestPipeInAShow(t *testing.T) {
	if testing.Short() {
		t.Skip("reads whole soundtracks many times")
	}
	for _, file := range []string{"soundtrack.mp3", "cues.csv", "show.toml"} {
		t.Run(file, func(t *testing.T) {
			t.Parallel()
			tr := newTrap(t)
			tr.pipe("show/" + file)
			for _, args := range folderCommands {
				if said, code := tr.run(args); code == exitOK {
					t.Errorf("drylane %s: exit code 0, said %q", args, said)
				}
			}
			for _, args := range []string{"field show", "print show", "soundcheck show --list", "export show --csv out.csv", "check show show --json", "check show --media .", "rehearse . --auto script --out silent"} {
				tr.run(args)
			}
		})
	}
	t.Run("lock, companion, stick", func(t *testing.T) {
		t.Parallel()
		tr := newTrap(t)
		toml, err := os.ReadFile(tr.at("show/show.toml"))
		tr.check(err)
		tr.write("show/show.toml", string(toml)+"\n[[track]]\nfile = \"code.wav\"\n")
		tr.pipe("show/code.wav")
		tr.pipe("show/show.lock")
		tr.pipe("stick/soundtrack.mp3")
		tr.pipe("stick/code.wav")
		for _, args := range []string{"check show --media stick", "rehearse show --auto script --out silent --speed max", "lock show", "check show"} {
			tr.run(args)
		}
		tr.refuses("rehearse show --auto script --out silent --speed max --listen code.wav")
		tr.pipe("nothing")
		for _, args := range []string{"check nothing", "check show --media nothing", "rehearse nothing --auto script", "sessions --dir nothing", "retime show --rate 100 --to nothing"} {
			if said, code := tr.run(args); code != exitWrong {
				t.Errorf("drylane %s: exit code %d, said %q", args, code, said)
			}
		}
	})
}

// TestPipeAsAFile: as an argument, a pipe and a device are refused by name.
func TestPipeAsAFile(t *testing.T) {
	tr := newTrap(t)
	tr.pipe("pipe")
	tr.check(os.Symlink("/dev/zero", tr.at("device")))
	for _, file := range []string{"pipe", "device"} {
		for _, args := range []string{
			"info %s", "loudness %s", "compare show/soundtrack.mp3 %s", "compare %s show/soundtrack.mp3", "onsets %s",
			"timecode read %s", "import %s --to new", "import --from-markers %s --to new",
			"import show/cues.csv --soundtrack %s --to new", "import show/cues.csv --profile %s --to new",
		} {
			tr.refuses(fmt.Sprintf(args, file))
		}
	}
	// A pipe that is named as a text is meant; a device is not.
	for _, args := range []string{"replay device", "report device --csv out.csv", "drift device", "drill check ./device", "calibrate --taps device", "rehearse show --auto device --out silent"} {
		tr.refuses(args)
	}
}

// TestPipeInTheUsersFolders: what was met in a folder is passed over or told of.
func TestPipeInTheUsersFolders(t *testing.T) {
	tr := newTrap(t)
	if said, code := tr.run("rehearse show --auto script --out silent --speed max"); code != exitOK {
		t.Fatalf("exit code %d: %s", code, said)
	}
	tr.pipe("data/drylane/sessions/9999-01-01_00-00-00.000_harbour.jsonl")
	tr.pipe("data/drylane/people/robin.toml")
	tr.pipe("data/drylane/people/kim.toml")
	tr.pipe("drills/one.toml")
	for _, args := range []string{"sessions", "report last --csv out.csv", "drift last", "replay last"} {
		if said, code := tr.run(args); code != exitOK {
			t.Errorf("drylane %s: exit code %d, said %q", args, code, said)
		}
	}
	tr.refuses("replay 9999-01-01_00-00-00.000_harbour.jsonl")
	tr.refuses("drift last --person Robin")
	for _, args := range []string{"progress Robin", "drill check drills", "drill run drills --auto script --out silent", "drift last --person Jo"} {
		if said, code := tr.run(args); code != exitWrong {
			t.Errorf("drylane %s: exit code %d, said %q", args, code, said)
		}
	}
}

// TestPipeAsScript: a script may come through a pipe that is named.
func TestPipeAsScript(t *testing.T) {
	tr := newTrap(t)
	tr.pipe("pipe")
	go os.WriteFile(tr.at("pipe"), []byte("+0 arm\n+0 start\n+1 cut\n"), 0o600)
	if said, code := tr.run("rehearse show --auto pipe --out silent --speed max"); code != exitOK {
		t.Errorf("exit code %d, said %q", code, said)
	}
}

// TestFirstSignalEnds: a command that waits for a pipe ends at the first signal.
func TestFirstSignalEnds(t *testing.T) {
	tr := newTrap(t)
	for _, s := range []os.Signal{syscall.SIGTERM, syscall.SIGHUP, os.Interrupt} {
		t.Run(s.String(), func(t *testing.T) {
			t.Parallel()
			pipe := "pipe " + s.String()
			tr.pipe(pipe)
			ctx, cancel := context.WithTimeout(t.Context(), hangs)
			defer cancel()
			var said bytes.Buffer
			cmd := tr.command(ctx, "rehearse", "show", "--auto", pipe, "--out", "silent")
			cmd.Stderr = &said
			tr.check(cmd.Start())
			// It can be opened for writing as soon as the program reads it, and
			// then the program waits for what is written.
			w, err := os.OpenFile(tr.at(pipe), os.O_WRONLY, 0)
			tr.check(err)
			defer w.Close()
			tr.check(cmd.Process.Signal(s))
			var exit *exec.ExitError
			if err := cmd.Wait(); ctx.Err() != nil || !errors.As(err, &exit) || exit.ExitCode() != exitWrong {
				t.Errorf("%v, said %q", err, said.String())
			}
			if !strings.Contains(said.String(), "ended by a signal") {
				t.Errorf("said %q", said.String())
			}
		})
	}
}
