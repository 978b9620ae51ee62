//go:build !windows

package main

import "github.com/google/renameio/v2"

// newPendingFile opens a file that gets its name only when it is whole, and
// leaves nothing behind otherwise.
func newPendingFile(path string) (*renameio.PendingFile, error) {
	return renameio.NewPendingFile(path, renameio.WithPermissions(0o644))
}
