package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"
)

// host is the system that the release is built on.
var host = target{runtime.GOOS, runtime.GOARCH}

// clone takes what is committed, with its history, which the program tells its commit
// from.
func (r *release) clone() error {
	if out, err := exec.Command("git", "clone", "-q", "--no-hardlinks", ".", r.dir).CombinedOutput(); err != nil {
		return fmt.Errorf("git clone: %w: %s", err, out)
	}
	out, err := command(r.dir, nil, "git", "log", "-1", "--format=%ct")
	if err != nil {
		return err
	}
	seconds, err := strconv.ParseInt(strings.TrimSpace(string(out)), 10, 64)
	r.at = time.Unix(seconds, 0).UTC()
	return err
}

// build builds the program for a system and returns its path.
func (r *release) build(t target, name string) (string, error) {
	path := filepath.Join(r.work, name)
	env := []string{"CGO_ENABLED=0", "GOOS=" + t.os, "GOARCH=" + t.arch, "GOFLAGS=", "SOURCE_DATE_EPOCH=" + fmt.Sprint(r.at.Unix())}
	if r.fresh {
		env = append(env, "GOCACHE="+filepath.Join(r.work, "cache"))
	}
	_, err := command(r.dir, env, "go", "build", "-trimpath", "-buildvcs=true", "-ldflags", "-s -w -X main.version="+r.version, "-o", path, "./cmd/drylane")
	return path, err
}

// fromProgram has the program write its manual page and what makes shells complete it.
func (r *release) fromProgram(program string) ([]file, error) {
	var files []file
	for _, f := range []struct {
		name string
		args []string
	}{
		{"drylane.1", []string{"manual"}}, {"completion/drylane.bash", []string{"completion", "bash"}}, {"completion/_drylane", []string{"completion", "zsh"}},
		{"completion/drylane.fish", []string{"completion", "fish"}}, {"completion/drylane.ps1", []string{"completion", "powershell"}},
	} {
		out, err := command(r.dir, nil, program, f.args...)
		if err != nil {
			return nil, err
		}
		files = append(files, file{f.name, out, 0o644})
	}
	for _, name := range []string{"README.md", "LICENSE"} {
		text, err := os.ReadFile(filepath.Join(r.dir, name))
		if err != nil {
			return nil, err
		}
		files = append(files, file{name, text, 0o644})
	}
	return files, nil
}

var timestamp = regexp.MustCompile(`"timestamp": "[^"]*"`)

// bill is the bill of materials of a program, in CycloneDX, from what the Go compiler
// wrote into it. Its time is that of the commit.
func (r *release) bill(program string) ([]byte, error) {
	out, err := command(r.dir, []string{"GOFLAGS="}, "go", "run", cyclonedx, "bin", "-json", "-std", "-noserial", "-version", "v"+r.version, program)
	if err != nil {
		return nil, err
	}
	if !bytes.Contains(out, []byte(`"bomFormat": "CycloneDX"`)) || !timestamp.Match(out) {
		return nil, fmt.Errorf("no bill of materials was made: %.200s", out)
	}
	return timestamp.ReplaceAll(out, []byte(`"timestamp": "`+r.at.Format(time.RFC3339)+`"`)), nil
}

// command runs a program in a folder, with more environment, and returns what it
// printed.
func command(dir string, env []string, name string, args ...string) ([]byte, error) {
	cmd := exec.Command(name, args...)
	cmd.Dir, cmd.Env = dir, slices.Concat(os.Environ(), env)
	var wrong bytes.Buffer
	cmd.Stderr = &wrong
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("%s %s: %w: %s", name, strings.Join(args, " "), err, wrong.String())
	}
	return out, nil
}
