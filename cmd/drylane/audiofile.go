package main

import (
	"encoding/json"
	"fmt"
	"io"

	"drylane/playback"
	"drylane/playback/disk"
)

// printJSON writes v as indented JSON.
func printJSON(w io.Writer, v any) error {
	b, err := json.MarshalIndent(v, "", "  ")
	if err == nil {
		_, err = fmt.Fprintf(w, "%s\n", b)
	}
	return err
}

// opener opens the file at path, any number of times.
func opener(path string) playback.Opener {
	return func() (io.ReadSeekCloser, error) { return disk.Open(path) }
}

// hashes returns the SHA-256 of a file's bytes and of its sound, and what is
// known of it once it is read.
func (e *env) hashes(path string) (file, audio string, info playback.Info, err error) {
	s, err := playback.OpenFile(path)
	if err != nil {
		return "", "", info, err
	}
	defer s.Close()
	f, err := disk.Open(path)
	if err != nil {
		return "", "", info, err
	}
	defer f.Close()
	if file, err = playback.HashFile(e.ctx, f, nil); err != nil {
		return "", "", info, err
	}
	p := e.progress("reading the sound")
	defer p.end()
	audio, err = playback.HashAudio(e.ctx, s, func(done, total int64) { p.done(float64(done) / float64(max(1, total))) })
	return file, audio, s.Info(), err
}
