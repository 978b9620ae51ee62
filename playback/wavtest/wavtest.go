// Package wavtest writes WAV files for tests.
package wavtest

import (
	"errors"
	"os"
	"testing"

	"drylane/playback"
)

// Write writes frames as 16 bits of one or two channels.
func Write(t testing.TB, path string, rate, channels int, frames [][2]float64) {
	t.Helper()
	Stream(t, path, rate, channels, func(w *playback.WAVWriter) error { return w.Write(frames) })
}

// Stream is Write for what is made as it is written.
func Stream(t testing.TB, path string, rate, channels int, write func(*playback.WAVWriter) error) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	w, err := playback.NewWAVWriter(f, rate, channels, playback.WAVInt16)
	if err != nil {
		t.Fatal(errors.Join(err, f.Close()))
	}
	if err := errors.Join(write(w), w.Close(), f.Close()); err != nil {
		t.Fatal(err)
	}
}
