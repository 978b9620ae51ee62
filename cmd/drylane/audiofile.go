package main

import (
	"encoding/json"
	"fmt"
	"io"

	"drylane/playback"
	"drylane/playback/listen"
)

// printJSON writes v as indented JSON.
func printJSON(w io.Writer, v any) error {
	b, err := json.MarshalIndent(v, "", "  ")
	if err == nil {
		_, err = fmt.Fprintf(w, "%s\n", b)
	}
	return err
}

// listened is the file at path for those who listen to all of it.
func listened(path string) listen.File {
	return listen.File{Name: path, Open: func() (io.ReadSeekCloser, error) { return playback.OpenBytes(path) }}
}

// hashes returns the SHA-256 of a file's bytes and of its sound, and what is
// known of it once it is read.
func (e *env) hashes(path string) (file, audio string, info playback.Info, err error) {
	p := e.progress("")
	defer p.end()
	f := listened(path)
	if f.SHA256, err = listen.HashFile(e.ctx, f, p.tell); err != nil {
		return "", "", info, err
	}
	audio, info, err = listen.HashAudio(e.ctx, f, p.tell)
	return f.SHA256, audio, info, err
}
