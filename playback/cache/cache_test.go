package cache

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// key is one of several keys.
func key(i int) Key {
	return Key{Content: strings.Repeat(fmt.Sprintf("%02x", i), 32), What: "onsets", Version: 3}
}

// What was put under a key, and nothing else, is got under that key, by any process.
func TestKept(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "not", "there", "yet")
	s := New(dir, 1<<20)
	if s.Get(key(1)) != nil {
		t.Error("something was kept before anything was")
	}
	for i, want := range []string{"", "one", strings.Repeat("a long one\n", 5000)} {
		s.Put(key(i), []byte(want))
		if got := New(dir, 1<<20).Get(key(i)); got == nil || string(got) != want {
			t.Errorf("%d bytes were kept, %d came back (nil %v)", len(want), len(got), got == nil)
		}
	}
	s.Put(key(1), []byte("another"))
	if got := s.Get(key(1)); string(got) != "another" {
		t.Errorf("kept anew: %q", got)
	}
	for _, k := range []Key{{key(1).Content, "onsets", 4}, {key(1).Content, "beats", 3}, {key(4).Content, "onsets", 3}} {
		if s.Get(k) != nil {
			t.Errorf("%+v has what belongs to another key", k)
		}
	}
}

// Without a store, or a folder to keep things in, nothing is kept and nothing fails.
func TestNowhere(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for name, s := range map[string]*Store{"nil": nil, "a file": New(file, 1<<20)} {
		s.Put(key(1), []byte("x"))
		if s.Get(key(1)) != nil {
			t.Errorf("%s: something was kept", name)
		}
	}
	if u, err := New(filepath.Join(file+"2"), 1).Usage(); u != (Usage{}) || err != nil {
		t.Errorf("no folder: %+v, %v", u, err)
	}
}

// An entry that is cut off, changed, or of another key is none.
func TestBroken(t *testing.T) {
	t.Parallel()
	s := New(t.TempDir(), 1<<20)
	rapid.Check(t, func(rt *rapid.T) {
		want := rapid.SliceOfN(rapid.Byte(), 0, 300).Draw(rt, "kept")
		s.Put(key(1), want)
		path := s.path(key(1))
		b, err := os.ReadFile(path)
		if err != nil {
			rt.Fatal(err)
		}
		whole := slices.Clone(b)
		at := rapid.IntRange(0, len(b)-1).Draw(rt, "at")
		switch rapid.IntRange(0, 2).Draw(rt, "damage") {
		case 0:
			b = b[:at]
		case 1:
			b[at] ^= byte(rapid.IntRange(1, 255).Draw(rt, "by"))
		case 2:
			b = slices.Insert(b, at, rapid.Byte().Draw(rt, "more"))
		}
		if err := os.WriteFile(path, b, 0o600); err != nil {
			rt.Fatal(err)
		}
		if got := s.Get(key(1)); got != nil && !bytes.Equal(b, whole) {
			rt.Fatalf("%q was taken from a broken entry", got)
		}
	})
}

// What only has the name of an entry is passed over, and the place can be had again.
func TestNoEntry(t *testing.T) {
	t.Parallel()
	s := New(t.TempDir(), 1<<20)
	s.Put(key(1), []byte("x")) // an entry of another key, under this name
	if err := os.Rename(s.path(key(1)), s.path(key(2))); err != nil {
		t.Fatal(err)
	}
	huge, err := os.Create(s.path(key(3)))
	if err != nil {
		t.Fatal(err)
	}
	defer huge.Close()
	if err := huge.Truncate(1 << 40); err != nil {
		t.Skip("no sparse files here: ", err)
	}
	if err := os.Mkdir(s.path(key(4)), 0o700); err != nil {
		t.Fatal(err)
	}
	for i := 2; i <= 4; i++ {
		if s.Get(key(i)) != nil {
			t.Errorf("entry %d: something came of it", i)
		}
	}
	s.Put(key(2), []byte("y"))
	if got := s.Get(key(2)); string(got) != "y" {
		t.Errorf("kept over a wrong entry: %q", got)
	}
}

// The store never holds more than it may, and lets go first of what was not used for
// longest. What a dead process left half written goes in time, what a living one is
// writing stays.
func TestTrim(t *testing.T) {
	t.Parallel()
	s := New(t.TempDir(), 11_000)
	old := func(path string, age time.Duration) {
		t.Helper()
		at := time.Now().Add(-age)
		if err := os.Chtimes(path, at, at); err != nil {
			t.Fatal(err)
		}
	}
	for i := range 4 {
		s.Put(key(i), make([]byte, 2000))
		old(s.path(key(i)), time.Duration(10-i)*time.Minute)
	}
	s.Get(key(0)) // used
	left, writing := filepath.Join(s.dir, tempPrefix+"left"), filepath.Join(s.dir, tempPrefix+"writing")
	for path, age := range map[string]time.Duration{left: 2 * abandoned, writing: abandoned / 2} {
		if err := os.WriteFile(path, nil, 0o600); err != nil {
			t.Fatal(err)
		}
		old(path, age)
	}
	s.Put(key(9), make([]byte, 3500))
	for i, want := range map[int]bool{0: true, 1: false, 2: true, 3: true, 9: true} {
		if got := s.Get(key(i)) != nil; got != want {
			t.Errorf("entry %d is kept %v, want %v", i, got, want)
		}
	}
	if u, err := s.Usage(); err != nil || u.Entries != 4 || u.Bytes > 11_000 || u.Bytes < 10_000 {
		t.Errorf("it holds %+v, %v", u, err)
	}
	for path, want := range map[string]bool{left: false, writing: true} {
		if _, err := os.Stat(path); (err == nil) != want {
			t.Errorf("%s: %v", path, err)
		}
	}
	if u, err := s.Clear(); err != nil || u.Entries != 5 {
		t.Errorf("cleared %+v, %v", u, err)
	}
	if rest, _ := os.ReadDir(s.dir); len(rest) > 0 {
		t.Errorf("left over: %v", rest)
	}
}

// Several processes write and read the same entries in one folder that is too small for
// them: what is got is whole, and of its key.
func TestTwoProcesses(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	var wait sync.WaitGroup
	for p := range 4 {
		wait.Go(func() {
			s := New(dir, 40_000) // of its own, as in another process
			for n := range 100 {
				i := (n*7 + p) % 5
				s.Put(key(i), bytes.Repeat([]byte{byte(i), byte(p)}, 3000+p))
				got := s.Get(key(n % 5))
				if got != nil && (len(got) < 6000 || got[0] != byte(n%5) || len(got) != 2*(3000+int(got[1]))) {
					t.Errorf("entry %d came back as %d bytes of %d by %d", n%5, len(got), got[0], got[1])
				}
			}
		})
	}
	wait.Wait()
	if u, err := New(dir, 40_000).Usage(); err != nil || u.Entries == 0 || u.Bytes > 40_000 {
		t.Errorf("it holds %+v, %v", u, err)
	}
}

// Nothing but what seal made of it for this key gives anything.
func FuzzUnseal(f *testing.F) {
	f.Add(seal(key(1), []byte("kept")))
	f.Add(seal(key(2), []byte("of another")))
	f.Add([]byte("drylane cache 1, onsets 3 of : -1 bytes, SHA-256 \n"))
	f.Add([]byte("\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		if got := unseal(key(1), b); got != nil && !bytes.Equal(seal(key(1), got), b) {
			t.Errorf("%q was taken for an entry", b)
		}
	})
}
