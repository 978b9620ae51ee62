package disk

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestWholeOrNotAtAll: a file that cannot be finished leaves the old one.
func TestWholeOrNotAtAll(t *testing.T) {
	path := filepath.Join(t.TempDir(), "out.html")
	if err := os.WriteFile(path, []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	bad := func(w io.Writer) error {
		_, err := io.WriteString(w, "half")
		return errors.Join(err, errors.New("no more"))
	}
	if err := WriteWhole(path, bad); err == nil || !strings.Contains(err.Error(), "out.html cannot be written") {
		t.Errorf("got %v", err)
	}
	text, err := os.ReadFile(path)
	list, _ := os.ReadDir(filepath.Dir(path))
	if string(text) != "old" || err != nil || len(list) != 1 {
		t.Errorf("%q, %v, %d files", text, err, len(list))
	}
	if err := WriteWhole(filepath.Join(path, "below", "x"), func(io.Writer) error { return nil }); err == nil || errors.Is(err, os.ErrNotExist) && !strings.Contains(err.Error(), "cannot be written") {
		t.Errorf("got %v", err)
	}
}
