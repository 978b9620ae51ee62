//go:build !windows

package disk

import "github.com/google/renameio/v2"

// NewPending opens a file that gets its name only when it is whole, and
// leaves nothing behind otherwise.
func NewPending(path string) (*renameio.PendingFile, error) {
	return renameio.NewPendingFile(path, renameio.WithPermissions(0o644))
}
