package main

import (
	"fmt"

	"drylane/playback/disk"
)

// replaceFlag is the flag of every command that writes a file where it is told to.
type replaceFlag struct {
	Replace bool `help:"Write over files that are there already."`
}

// writer writes the files of a command, and says of each that it is there: on standard
// error, since standard output may be a table or JSON.
func (f replaceFlag) writer(e *env) *disk.Writer {
	w := f.quietWriter(e)
	w.Wrote = func(path string) { fmt.Fprintf(e.errOut, "%s: written\n", path) }
	return w
}

// quietWriter is writer for a command that says by itself what is in the file.
func (f replaceFlag) quietWriter(e *env) *disk.Writer {
	return &disk.Writer{Replace: f.Replace, Context: e.ctx}
}
