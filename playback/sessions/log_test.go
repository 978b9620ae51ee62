package sessions

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"drylane/show/session"
)

// TestLogVanishes: whatever becomes of the file, the whole session ends up in one
// that is there, and it is said where.
func TestLogVanishes(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no open file can be deleted there")
	}
	tests := []struct {
		name   string
		home   bool // the log is in the user's data folder from the start
		vanish func(path string) error
		moved  bool
	}{
		{"nothing", false, func(string) error { return nil }, false},
		{"file deleted", false, os.Remove, true},
		{"folder deleted", false, func(path string) error { return os.RemoveAll(filepath.Dir(path)) }, true},
		{"file renamed", false, func(path string) error { return os.Rename(path, path+".bak") }, true},
		{"another file in its place", false, func(path string) error {
			return errors.Join(os.Remove(path), os.WriteFile(path, []byte("other"), 0o600))
		}, true},
		{"in the data folder, folder deleted", true, func(path string) error { return os.RemoveAll(filepath.Dir(path)) }, true},
		{"in the data folder, another in its place", true, func(path string) error {
			return errors.Join(os.Remove(path), os.WriteFile(path, []byte("other"), 0o600))
		}, true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			atHome(t)
			path := filepath.Join(t.TempDir(), "logs", "run.jsonl")
			if err := os.Mkdir(filepath.Dir(path), 0o700); err != nil {
				t.Fatal(err)
			}
			if tt.home {
				path = ""
			}
			w, log, err := Create(path, "Harbour", session.Header{Title: "Harbour", Soundtrack: session.Soundtrack{Rate: 44100}, Began: time.Date(2026, 7, 4, 22, 0, 0, 0, time.UTC)})
			if err != nil {
				t.Fatal(err)
			}
			path = log.Name()
			append := func(text string) {
				t.Helper()
				if _, err := w.Append(session.Entry{Kind: session.KindNote, Data: session.Data{Text: text}}); err != nil {
					t.Fatal(err)
				}
			}
			append("one")
			if err := tt.vanish(path); err != nil {
				t.Fatal(err)
			}
			append("two")
			append("three")
			if err := log.Close(); err != nil {
				t.Fatal(err)
			}
			read, err := Read(log.Name())
			if err != nil || len(read.Entries) != 3 || read.Header.Title != "Harbour" || read.Entries[2].Data.Text != "three" || read.Entries[2].N != 3 {
				t.Errorf("read back %+v, %v", read, err)
			}
			lost := log.Lost()
			if (lost != nil) != tt.moved || (log.MovedTo() != "") != tt.moved || !tt.moved && log.Name() != path {
				t.Errorf("lost %v, moved to %q", lost, log.MovedTo())
			}
			if tt.moved && (filepath.Dir(log.Name()) != Dir() || !strings.Contains(lost.Error(), log.Name())) {
				t.Errorf("it is at %s, and said to be: %v", log.Name(), lost)
			}
		})
	}
}

// TestLogHasNowhereToGo: a log that vanishes where there is no place for another
// is an error of every entry until there is one, and then nothing is missing.
func TestLogHasNowhereToGo(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no open file can be deleted there")
	}
	atHome(t)
	path := filepath.Join(t.TempDir(), "run.jsonl")
	w, log, err := Create(path, "", session.Header{Soundtrack: session.Soundtrack{Rate: 44100}})
	if err != nil {
		t.Fatal(err)
	}
	inTheWay := filepath.Dir(Dir())
	if err := errors.Join(os.Remove(path), os.WriteFile(inTheWay, nil, 0o600)); err != nil {
		t.Fatal(err)
	}
	note := session.Entry{Kind: session.KindNote}
	for range 2 {
		if err := appendAndSync(w, note); err == nil || !strings.Contains(err.Error(), "run.jsonl was deleted or moved, and the session cannot go on in "+Dir()) {
			t.Errorf("got %v", err)
		}
	}
	if err := os.Remove(inTheWay); err != nil {
		t.Fatal(err)
	}
	if err := appendAndSync(w, note); err != nil {
		t.Fatal(err)
	}
	if err := log.Close(); err != nil {
		t.Fatal(err)
	}
	if read, err := Read(log.Name()); err != nil || len(read.Entries) != 3 {
		t.Errorf("read back %+v, %v", read, err)
	}
}

// appendAndSync puts an entry on disk, as a deck's log does with every one.
func appendAndSync(w *session.Writer, e session.Entry) error {
	_, err := w.Append(e)
	return errors.Join(err, w.Sync())
}

// slowDisk is a file whose syncs take as long as somebody wants.
type slowDisk struct {
	file
	began, release chan struct{}
}

func (s slowDisk) Sync() error {
	close(s.began)
	<-s.release
	return s.file.Sync()
}

// TestWritesDoNotWaitForASync: while a sync takes its time the next entries are
// written, and can be read.
func TestWritesDoNotWaitForASync(t *testing.T) {
	atHome(t)
	path := filepath.Join(t.TempDir(), "run.jsonl")
	w, log, err := Create(path, "", session.Header{Soundtrack: session.Soundtrack{Rate: 44100}})
	if err != nil {
		t.Fatal(err)
	}
	slow := slowDisk{log.file, make(chan struct{}), make(chan struct{})}
	log.file = slow
	synced := make(chan error, 1)
	go func() { synced <- w.Sync() }()
	<-slow.began
	if _, err := w.Append(session.Entry{Kind: session.KindNote}); err != nil {
		t.Fatal(err)
	}
	if read, err := Read(path); err != nil || len(read.Entries) != 1 {
		t.Errorf("%v, %+v: wanted the entry while the sync goes on", err, read)
	}
	close(slow.release)
	if err := <-synced; err != nil {
		t.Error(err)
	}
	log.file = slow.file
	if err := log.Close(); err != nil {
		t.Error(err)
	}
}
