//go:build !windows

package disk

import (
	"path/filepath"

	"github.com/google/renameio/v2"
)

// newPending opens a file beside path that gets its name only when it is whole,
// and leaves nothing behind otherwise.
func newPending(path string) (pending, error) {
	return renameio.NewPendingFile(path, renameio.WithTempDir(filepath.Dir(path)), renameio.WithPermissions(0o644))
}
