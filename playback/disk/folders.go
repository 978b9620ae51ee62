package disk

import (
	"os"
	"path/filepath"
)

// MakeFolders makes a folder and those above it that are not there. undo removes
// again those that it made, as far as they are empty.
func MakeFolders(path string) (undo func(), err error) {
	var made []string
	for dir := filepath.Clean(path); ; dir = filepath.Dir(dir) {
		if _, err := os.Stat(dir); err == nil || dir == filepath.Dir(dir) {
			break
		}
		made = append(made, dir)
	}
	return func() {
		for _, dir := range made {
			os.Remove(dir)
		}
	}, os.MkdirAll(path, 0o755)
}
