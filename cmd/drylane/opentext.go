package main

import (
	"fmt"
	"os"
)

// openText opens the file of a session, a script and the like; what says which.
// A pipe is taken too: whoever names one means it.
func openText(path, what string) (*os.File, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s: the %s cannot be read: %w", path, what, plain(err))
	}
	if info, err := f.Stat(); err == nil && info.IsDir() {
		f.Close()
		return nil, fmt.Errorf("%s: found a folder; wanted the file of a %s", path, what)
	}
	return f, nil
}
