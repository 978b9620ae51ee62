package main

import "drylane/playback/disk"

// replaceFlag is the flag of every command that writes a file where it is told to.
type replaceFlag struct {
	Replace bool `help:"Write over files that are there already."`
}

// writer writes the files of a command.
func (f replaceFlag) writer(e *env) *disk.Writer {
	return &disk.Writer{Replace: f.Replace, Context: e.ctx}
}
