package knock

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"drylane/show"
)

// put leaves a notice in a folder of the test's.
func put(t *testing.T, n Notice, answer func() ([]byte, error)) *Post {
	t.Helper()
	p, err := Put(n, answer)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(p.Close)
	return p
}

func names(t *testing.T, dir string) (list []string) {
	t.Helper()
	files, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		list = append(list, f.Name())
	}
	return list
}

// TestKnock: a drill is found and knocked at, opens its door only then, and everybody who
// knocks gets an answer of their own; nothing is left behind.
func TestKnock(t *testing.T) {
	t.Setenv("XDG_RUNTIME_DIR", t.TempDir())
	if found, err := Find(); err != nil || len(found) > 0 {
		t.Fatalf("nothing runs: %+v, %v", found, err)
	}
	var mu sync.Mutex
	opened := 0
	p := put(t, Notice{PID: 4711, Show: "Harbour\nEvening", Drill: "One thing"}, func() ([]byte, error) {
		mu.Lock()
		defer mu.Unlock()
		opened++
		return fmt.Appendf(nil, `{"n":%d}`, opened), nil
	})
	found, err := Find()
	if err != nil || len(found) != 1 || found[0].Show != "Harbour Evening" || found[0].Drill != "One thing" || found[0].PID != 4711 || found[0].Path != Named("4711") {
		t.Fatalf("found %+v, %v", found, err)
	}
	if info, err := os.Stat(found[0].Path); err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != 0o600 {
		t.Errorf("the notice: %v, %v", info, err)
	}
	mu.Lock()
	if opened != 0 {
		t.Error("the door was opened before anybody knocked")
	}
	mu.Unlock()
	got := make(chan string, 3)
	for range 3 {
		go func() {
			join, err := Knock(t.Context(), found[0].Path)
			got <- fmt.Sprint(string(join), err)
		}()
	}
	all := map[string]bool{}
	for range 3 {
		all[<-got] = true
	}
	for n := range 3 {
		if want := fmt.Sprintf(`{"n":%d}<nil>`, n+1); !all[want] {
			t.Errorf("answered %v; wanted %s", all, want)
		}
	}
	if left := names(t, p.dir); fmt.Sprint(left) != "[4711.drill]" {
		t.Errorf("after the knocks there are %v", left)
	}
	p.Close()
	p.Close()
	if left := names(t, p.dir); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	if _, err := Knock(t.Context(), found[0].Path); err == nil || !strings.Contains(err.Error(), "no drill runs there") {
		t.Errorf("knocked at a drill that is over: %v", err)
	}
}

// TestNoAnswer: a door that stays shut says why, and one that says nothing is not waited
// for without end.
func TestNoAnswer(t *testing.T) {
	t.Setenv("XDG_RUNTIME_DIR", t.TempDir())
	p := put(t, Notice{PID: 12}, func() ([]byte, error) { return nil, errors.New("no port\x1b[2J is free") })
	if _, err := Knock(t.Context(), p.path()); err == nil || !strings.HasSuffix(err.Error(), "12.drill: no port[2J is free") {
		t.Errorf("%v", err)
	}
	silent := filepath.Join(p.dir, "13.drill")
	if err := os.WriteFile(silent, []byte(`{"drylane_drill":1,"pid":13}`), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 3*waitEvery)
	defer cancel()
	if _, err := Knock(ctx, silent); err == nil || !strings.Contains(err.Error(), "does not answer") {
		t.Errorf("%v", err)
	}
	if left := names(t, p.dir); fmt.Sprint(left) != "[12.drill 13.drill]" {
		t.Errorf("left behind: %v", left)
	}
}

// TestSweep: what was left behind goes, what is fresh stays, and nothing else is touched.
// A notice that another took for dead comes back.
func TestSweep(t *testing.T) {
	t.Setenv("XDG_RUNTIME_DIR", t.TempDir())
	p := put(t, Notice{PID: 7}, nil)
	for name, age := range map[string]time.Duration{
		"8.drill": time.Hour, "8.AB.door": time.Hour, "8.AB.knock.new": time.Hour, // dead
		"9.drill": 0, "9.CD.door": time.Hour, // there
		"notes.txt": time.Hour, "8.drill.bak": time.Hour, "x.drill": time.Hour, "8.ab.door": time.Hour, // no such files
	} {
		path, then := filepath.Join(p.dir, name), time.Now().Add(-age)
		if err := os.WriteFile(path, []byte(`{"drylane_drill":1,"pid":9}`), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(path, then, then); err != nil {
			t.Fatal(err)
		}
	}
	found, err := Find()
	if err != nil || len(found) != 2 || found[0].PID != 7 || found[1].PID != 9 {
		t.Errorf("found %+v, %v", found, err)
	}
	if left := names(t, p.dir); fmt.Sprint(left) != "[7.drill 8.ab.door 8.drill.bak 9.CD.door 9.drill notes.txt x.drill]" {
		t.Errorf("there are %v", left)
	}
	os.Remove(p.path())
	p.touch(time.Now())
	if _, err := os.Stat(p.path()); err != nil {
		t.Errorf("it did not come back: %v", err)
	}
	then := time.Now().Add(-time.Minute)
	os.Chtimes(p.path(), then, then)
	p.touch(time.Now())
	if info, err := os.Stat(p.path()); err != nil || time.Since(info.ModTime()) > staleAfter {
		t.Errorf("it is not kept fresh: %v", err)
	}
}

// TestFolder: the notices lie in a folder that is the user's alone, or nowhere.
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
		{"file", "cannot be made", func(dir string) error { return os.WriteFile(dir, nil, 0o600) }},
	} {
		base := t.TempDir()
		t.Setenv("XDG_RUNTIME_DIR", base)
		if err := c.make(filepath.Join(base, "drylane")); err != nil {
			t.Fatal(err)
		}
		dir, err := open()
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

// TestWrongFiles: what is by the name of a notice and is none is told as such.
func TestWrongFiles(t *testing.T) {
	dir := t.TempDir()
	for text, want := range map[string]string{"": "does not read", `{"drylane_drill":9,"pid":1}`: "found version 9", `{"drylane_drill":1}`: "found the process 0",
		strings.Repeat(" ", maxFile) + `{"drylane_drill":1,"pid":1}`: "does not read"} {
		path := filepath.Join(dir, "1.drill")
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := Knock(t.Context(), path); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%.40q: %v; wanted %q", text, err, want)
		}
	}
	if _, err := Knock(t.Context(), filepath.Join(dir, "none.drill")); errors.Is(err, fs.ErrNotExist) || err == nil {
		t.Errorf("%v", err)
	}
}

// FuzzNotice: whatever lies there, what is shown of it is fit for a terminal.
func FuzzNotice(f *testing.F) {
	f.Add(`{"drylane_drill":1,"pid":12,"show":"\u001b[2J","drill":"\u202e"}`)
	f.Add(`{"refused":"\u001b[2J","join":{"address":"x"}}`)
	f.Fuzz(func(t *testing.T, text string) {
		n, err := ReadNotice(strings.NewReader(text))
		_, why := readAnswer(strings.NewReader(text))
		for _, s := range []string{n.Show, n.Drill, fmt.Sprint(err), fmt.Sprint(why)} {
			if show.Clean(s) != s {
				t.Errorf("%q is shown", s)
			}
		}
		if err == nil && n.PID <= 0 {
			t.Errorf("%+v", n)
		}
	})
}
