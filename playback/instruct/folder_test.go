package instruct

import (
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"drylane/testdata/reftest"
)

// leave puts a socket at path that nobody listens on, as a run leaves one that
// was killed.
func leave(t *testing.T, path string, age time.Duration) {
	t.Helper()
	l, err := net.ListenUnix("unix", &net.UnixAddr{Name: path, Net: "unix"})
	if err != nil {
		t.Fatal(err)
	}
	l.SetUnlinkOnClose(false)
	l.Close()
	then := time.Now().Add(-age)
	if err := os.Chtimes(path, then, then); err != nil {
		t.Fatal(err)
	}
}

// TestFolder: the socket lies in a folder that is the user's alone, or nowhere.
func TestFolder(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("modes say nothing on Windows")
	}
	for _, c := range []struct {
		name, want string
		make       func(dir string) error
	}{
		{"made", "", func(string) error { return nil }},
		{"there", "", func(dir string) error { return os.Mkdir(dir, 0o700) }},
		{"open to others", "others may enter (mode 0755); wanted 0700", func(dir string) error { return os.Mkdir(dir, 0o755) }},
		{"link", "found a link", func(dir string) error { return os.Symlink(filepath.Dir(dir), dir) }},
		{"file", "found a file", func(dir string) error { return os.WriteFile(dir, nil, 0o600) }},
	} {
		base := t.TempDir()
		t.Setenv("XDG_RUNTIME_DIR", base)
		if err := c.make(filepath.Join(base, "drylane")); err != nil {
			t.Fatal(err)
		}
		dir, err := Folder()
		if c.want != "" {
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%s: %v", c.name, err)
			}
			continue
		}
		info, statErr := os.Stat(dir)
		if err != nil || statErr != nil || info.Mode().Perm() != 0o700 {
			t.Errorf("%s: %v, %v, %v", c.name, err, statErr, info)
		}
	}
}

func TestSocketPath(t *testing.T) {
	serve := func(path string) (*Server, error) {
		cues := testCues()
		return Serve(t.Context(), Config{Path: path, Plan: testPlan(cues), Cues: cues})
	}
	dir := privateFolder(t)
	file, stale, live := filepath.Join(dir, "file.sock"), filepath.Join(dir, "stale.sock"), newRig(t, nil).Path()
	if err := os.WriteFile(file, []byte("precious"), 0o600); err != nil {
		t.Fatal(err)
	}
	leave(t, stale, 0)
	for _, c := range []struct{ path, want string }{
		{file, "found a file; wanted nothing there"},
		{live, "another run listens there"},
		{filepath.Join(dir, strings.Repeat("x", 100)), "wanted 103 at most: set XDG_RUNTIME_DIR"},
		{filepath.Join(filepath.Dir(dir), "a.sock"), "others may enter"},
	} {
		if _, err := serve(c.path); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", c.path, err)
		}
	}
	if b, _ := os.ReadFile(file); string(b) != "precious" {
		t.Error("a file that is no socket was touched")
	}
	s, err := serve(stale)
	if err != nil {
		t.Fatalf("in the place of a stale socket: %v", err)
	}
	defer s.Close()
	if info, err := os.Lstat(stale); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("%v, %v", info.Mode(), err)
	}
}

// TestFind: the runs that listen are found, what was left behind is removed
// and nothing else is touched.
func TestFind(t *testing.T) {
	t.Setenv("XDG_RUNTIME_DIR", t.TempDir())
	if found, err := Find(t.Context()); err != nil || len(found) != 0 {
		t.Fatalf("nothing runs: %v, %v", found, err)
	}
	dir, err := Folder()
	if err != nil {
		t.Fatal(err)
	}
	old, young, other := filepath.Join(dir, "1.sock"), filepath.Join(dir, "2.sock"), filepath.Join(dir, "notes.txt")
	leave(t, old, time.Hour)
	leave(t, young, 0)
	if err := os.WriteFile(other, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	a := newRig(t, func(c *Config) { c.Path = "" })
	b := newRig(t, func(c *Config) { c.Path, c.Show = filepath.Join(dir, "99999999.sock"), "Second Show" })
	found, err := Find(t.Context())
	if err != nil || len(found) != 2 || found[0].Path != a.Path() || found[1].Path != b.Path() || found[1].Hello.Show != "Second Show" {
		t.Errorf("found %+v, %v", found, err)
	}
	if want := filepath.Join(dir, fmt.Sprint(os.Getpid())+".sock"); a.Path() != want || Named(fmt.Sprint(os.Getpid())) != want {
		t.Errorf("the socket is %s, by process id %s; want %s", a.Path(), Named(fmt.Sprint(os.Getpid())), want)
	}
	for path, there := range map[string]bool{old: false, young: true, other: true} {
		if _, err := os.Lstat(path); (err == nil) != there {
			t.Errorf("%s: %v", path, err)
		}
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := Dial(ctx, a.Path()); err == nil {
		t.Error("dialled when it was too late")
	}
}

// TestPeerIsAsked: the system tells the server whose process connects. The
// stranger is another program, run as another user, who has been let into the
// folder.
func TestPeerIsAsked(t *testing.T) {
	if runtime.GOOS == "windows" || os.Geteuid() != 0 {
		t.Skip("only root can be somebody else")
	}
	python := reftest.Tool(t, "python3")
	r := newRig(t, nil)
	for _, dir := range []string{filepath.Dir(r.Path()), filepath.Dir(filepath.Dir(r.Path())), filepath.Dir(filepath.Dir(filepath.Dir(r.Path())))} {
		if err := os.Chmod(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Chmod(r.Path(), 0o666); err != nil {
		t.Fatal(err)
	}
	const connect = `
import os, socket, sys
os.setgid(int(sys.argv[2])); os.setuid(int(sys.argv[2]))
s = socket.socket(socket.AF_UNIX)
s.connect(sys.argv[1])
print(s.makefile().readline())`
	for uid, want := range map[string]string{"0": `{"hello":`, "65534": `{"refused":"only the user who runs the drill can instruct it"}`} {
		out, err := exec.Command(python, "-c", connect, r.Path(), uid).CombinedOutput()
		if err != nil || !strings.HasPrefix(string(out), want) {
			t.Errorf("as user %s: %s, %v", uid, out, err)
		}
	}
}
