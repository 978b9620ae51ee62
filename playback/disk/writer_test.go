package disk

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// put makes a file in the working directory.
func put(t interface{ Fatal(...any) }, name, text string) {
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

func text(t interface{ Fatal(...any) }, name string) string {
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// write takes a path and writes to it.
func write(w *Writer, path, text string) error {
	to, err := w.Take("--out", path)
	if err != nil {
		return err
	}
	return to.Write(func(w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	})
}

// TestWriterRefuses: what is there, what is known by another name, what is no
// plain file. Whatever is refused stays as it was, and nothing is left beside it.
func TestWriterRefuses(t *testing.T) {
	tests := []struct {
		name, path string
		replace    bool
		err        string
	}{
		{"new", "new", false, ""},
		{"taken", "old", false, "old: found a file there already; wanted a new name, or --replace"},
		{"taken and replaced", "old", true, ""},
		{"read", "read", true, "read: found the cue list there; wanted another place"},
		{"read by another name", filepath.Join("sub", "..", "read"), true, "found the cue list there"},
		{"read through a link", "soft", true, "soft: found the cue list there"},
		{"read by a second name of its own", "hard", true, "hard: found the cue list there"},
		{"read in a linked folder", filepath.Join("up", "read"), true, "found the cue list there"},
		{"to be written", "log", true, "log: found the log there"},
		{"to be written, by another name", filepath.Join("up", "log"), true, "found the log there"},
		{"a folder", "sub", true, "sub: found a folder there; wanted the name of a file"},
		{"in no folder", filepath.Join("none", "x"), false, "cannot be written"},
		{"in a file", filepath.Join("old", "x"), true, "cannot be written"},
		{"empty", "", false, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Chdir(t.TempDir())
			put(t, "old", "old")
			put(t, "read", "read")
			err := errors.Join(os.Mkdir("sub", 0o700), os.Symlink("read", "soft"), os.Link("read", "hard"), os.Symlink(".", "up"))
			if err != nil {
				t.Skip("no links here:", err)
			}
			w := &Writer{Replace: tt.replace}
			w.Keep("the cue list", "read", "")
			w.Keep("the log", "log")
			err = write(w, tt.path, "new")
			if (err == nil) != (tt.err == "") || err != nil && !strings.Contains(err.Error(), tt.err) {
				t.Errorf("got %v; wanted %q", err, tt.err)
			}
			if text(t, "read") != "read" || err != nil && text(t, "old") != "old" {
				t.Error("a file was changed")
			}
			if err == nil && tt.path != "" && text(t, tt.path) != "new" {
				t.Error("the file was not written")
			}
			if left, _ := filepath.Glob(".*"); len(left) > 0 {
				t.Errorf("left behind: %q", left)
			}
		})
	}
}

// TestWriterIsWholeOrNotAtAll: a file that cannot be finished, or whose command is
// stopped, leaves the old one and nothing else; so does one that is taken meanwhile.
func TestWriterIsWholeOrNotAtAll(t *testing.T) {
	t.Chdir(t.TempDir())
	put(t, "old", "old")
	ctx, cancel := context.WithCancel(t.Context())
	w := &Writer{Replace: true, Context: ctx}
	old, err := w.Take("--old", "old")
	if err != nil {
		t.Fatal(err)
	}
	err = old.Write(func(w io.Writer) error {
		_, err := io.WriteString(w, "half")
		return errors.Join(err, errors.New("no more"))
	})
	if err == nil || err.Error() != "old cannot be written: no more" {
		t.Errorf("got %v", err)
	}
	f, err := old.Open()
	if err != nil {
		t.Fatal(err)
	}
	cancel()
	if err := f.Finish(); err == nil || err.Error() != "stopped: old was not written" {
		t.Errorf("got %v", err)
	}
	f.Discard()

	slow, err := new(Writer).Take("--slow", "slow")
	if err != nil {
		t.Fatal(err)
	}
	if f, err = slow.Open(); err != nil {
		t.Fatal(err)
	}
	put(t, "slow", "another's")
	if err := f.Finish(); err == nil || !strings.Contains(err.Error(), "slow: found a file there already") {
		t.Errorf("got %v", err)
	}
	list, _ := filepath.Glob("*")
	hidden, _ := filepath.Glob(".*")
	if text(t, "old") != "old" || text(t, "slow") != "another's" || len(list) != 2 || len(hidden) != 0 {
		t.Errorf("found %q and %q", list, hidden)
	}
}

// TestWriterDoesNotRace: a name that comes to be there between the last look and
// the end is not written over.
func TestWriterDoesNotRace(t *testing.T) {
	t.Chdir(t.TempDir())
	to, err := new(Writer).Take("--out", "x")
	if err != nil {
		t.Fatal(err)
	}
	f, err := to.Open()
	if err != nil {
		t.Fatal(err)
	}
	defer f.Discard()
	put(t, "x", "another's")
	if err := f.publishNew(); !errors.Is(err, fs.ErrExist) {
		t.Errorf("got %v", err)
	}
	if got := text(t, "x"); got != "another's" {
		t.Errorf("found %q", got)
	}
}

// TestWriterLosesNothing: whatever names a command is given for what it reads and
// writes, every text that was there is still there afterwards, except those of
// files that were to be replaced and are neither read nor written twice.
func TestWriterLosesNothing(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		dir, err := os.MkdirTemp("", "")
		if err != nil {
			r.Fatal(err)
		}
		defer os.RemoveAll(dir)
		in := func(name string) string { return filepath.Join(dir, name) }
		for _, name := range []string{"a", "b"} {
			put(r, in(name), name)
		}
		if err := errors.Join(os.Symlink("a", in("la")), os.Link(in("b"), in("hb")), os.Mkdir(in("s"), 0o700), os.Symlink("..", in(filepath.Join("s", "up")))); err != nil {
			r.Skip("no links here")
		}
		names := rapid.Map(rapid.SampledFrom([]string{"a", "b", "c", "la", "hb", "s", "s/up/a", "s/up/c", "s/../b"}), in)
		w := &Writer{Replace: rapid.Bool().Draw(r, "replace")}
		read := rapid.SliceOfN(names, 0, 2).Draw(r, "read")
		w.Keep("a file that is read", read...)
		before := map[string]string{}
		for _, p := range read {
			if b, err := os.ReadFile(p); err == nil {
				before[p] = string(b)
			}
		}
		written := map[string]string{}
		for _, p := range rapid.SliceOfN(names, 1, 3).Draw(r, "written") {
			said := string(rune('0' + len(written)))
			if write(w, p, said) == nil {
				written[p] = said
			}
		}
		for p, want := range before {
			if got := text(r, p); got != want {
				r.Fatalf("%s was read and held %q; now %q", p, want, got)
			}
		}
		for p, want := range written {
			if got := text(r, p); got != want {
				r.Fatalf("%s was written as %q and holds %q", p, want, got)
			}
		}
		if !w.Replace && (text(r, in("a")) != "a" || text(r, in("b")) != "b") {
			r.Fatal("a file was replaced unasked")
		}
		list, _ := os.ReadDir(dir)
		if slices.ContainsFunc(list, func(e fs.DirEntry) bool { return strings.HasPrefix(e.Name(), ".") }) {
			r.Fatal("something was left behind")
		}
	})
}

// TestMakeFolders: only what was made is removed, and only while it is empty.
func TestMakeFolders(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.Mkdir("a", 0o700); err != nil {
		t.Fatal(err)
	}
	undo, err := MakeFolders(filepath.Join("a", "b", "c"))
	if err != nil {
		t.Fatal(err)
	}
	undo()
	if list, err := os.ReadDir("a"); err != nil || len(list) != 0 {
		t.Errorf("left %v, %v", list, err)
	}
	if undo, err = MakeFolders(filepath.Join("a", "b", "c")); err != nil {
		t.Fatal(err)
	}
	put(t, filepath.Join("a", "b", "x"), "")
	undo()
	if list, err := os.ReadDir(filepath.Join("a", "b")); err != nil || len(list) != 1 {
		t.Errorf("left %v, %v", list, err)
	}
}

// TestWriterTells: a file is told of once it is there, and not before.
func TestWriterTells(t *testing.T) {
	t.Chdir(t.TempDir())
	var told []string
	w := &Writer{}
	w.Wrote = func(path string) { told = append(told, path+" "+text(t, path)) }
	put(t, "old", "old")
	if err := write(w, "old", "new"); err == nil {
		t.Error("found a file written over; wanted an error")
	}
	if err := write(w, "page", "whole"); err != nil {
		t.Error(err)
	}
	if !slices.Equal(told, []string{"page whole"}) {
		t.Errorf("told of %q", told)
	}
}
