package screen

import (
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"testing"
)

// TestPatient: a write waits for its reader while the program goes on. Once it is
// to end, what nobody takes is lost, and what is written after that is too until
// somebody reads again.
func TestPatient(t *testing.T) {
	t.Parallel()
	r, f, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	ctx, end := context.WithCancel(t.Context())
	w := Patient(ctx, f)
	big := bytes.Repeat([]byte("x"), 1<<20) // more than any pipe holds
	done := make(chan error, 1)
	write := func(p []byte) {
		n, err := w.Write(p)
		if n != len(p) && err == nil {
			t.Errorf("%d bytes of %d, and no error", n, len(p))
		}
		done <- err
	}
	go write(big)
	if _, err := io.ReadFull(r, make([]byte, len(big))); err != nil { // it waits, and all of it comes
		t.Fatal(err)
	}
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	go write(big)
	if _, err := io.ReadFull(r, make([]byte, 1)); err != nil {
		t.Fatal(err)
	}
	end()
	<-done
	go write([]byte("lost"))
	<-done
	if _, err := io.ReadFull(r, make([]byte, len(big)-1)); err != nil {
		t.Fatal(err)
	}
	for !taken(w.(*patient)) {
	}
	go write([]byte("again"))
	got := make([]byte, 5)
	if _, err := io.ReadFull(r, got); err != nil || string(got) != "again" {
		t.Errorf("read %q, %v", got, err)
	}
	<-done
}

// taken reports whether no write is waiting any more.
func taken(w *patient) bool {
	w.turn.Lock()
	defer w.turn.Unlock()
	return !w.stuck()
}

// TestPatientOfAFile: a plain file is written as it is.
func TestPatientOfAFile(t *testing.T) {
	t.Parallel()
	f, err := os.Create(filepath.Join(t.TempDir(), "file"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if w := Patient(t.Context(), f); w != io.Writer(f) {
		t.Errorf("%T", w)
	}
}
