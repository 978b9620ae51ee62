//go:build unix

package playback

import (
	"errors"
	"path/filepath"
	"syscall"
	"testing"
)

// TestPipeIsRefused: a pipe by the name of a soundtrack would be waited for.
func TestPipeIsRefused(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "music.wav")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Fatal(err)
	}
	var wrong *OpenError
	if _, err := OpenFile(path); !errors.As(err, &wrong) {
		t.Errorf("a pipe: %v; want an OpenError", err)
	}
}
