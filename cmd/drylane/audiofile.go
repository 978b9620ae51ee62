package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"

	"drylane/playback"
	"drylane/show/timebase"
)

// printJSON writes v as indented JSON.
func printJSON(w io.Writer, v any) error {
	b, err := json.MarshalIndent(v, "", "  ")
	if err == nil {
		_, err = fmt.Fprintf(w, "%s\n", b)
	}
	return err
}

// hashes returns the SHA-256 of a file's bytes and of its sound.
func (e *env) hashes(path string) (file, audio string, err error) {
	f, err := os.Open(path)
	if err != nil {
		return "", "", err
	}
	defer f.Close()
	if file, err = playback.HashFile(e.ctx, f, nil); err != nil {
		return "", "", err
	}
	s, err := playback.OpenFile(path)
	if err != nil {
		return "", "", err
	}
	defer s.Close()
	p := e.progress("reading the sound")
	defer p.end()
	audio, err = playback.HashAudio(e.ctx, s, func(done, total int64) { p.done(float64(done) / float64(max(1, total))) })
	return file, audio, err
}

// A measuredStream is a whole pass over a file as a beep.Streamer, for those
// who pull: it decodes on all cores ahead of them.
type measuredStream struct {
	chunks   chan [][2]float64
	rest     [][2]float64
	err      error // set before chunks is closed
	finished bool
	cancel   context.CancelFunc
}

// passStream starts a pass over the file at path. Close it.
func passStream(ctx context.Context, path string) *measuredStream {
	ctx, cancel := context.WithCancel(ctx)
	m := &measuredStream{chunks: make(chan [][2]float64, 8), cancel: cancel}
	go func() {
		defer close(m.chunks)
		open := func() (io.ReadSeekCloser, error) { return os.Open(path) }
		m.err = playback.Pass(ctx, path, open, func(_ timebase.Frame, frames [][2]float64) error {
			select {
			case m.chunks <- append([][2]float64(nil), frames...):
				return nil
			case <-ctx.Done():
				return ctx.Err()
			}
		})
	}()
	return m
}

// Stream implements beep.Streamer.
func (m *measuredStream) Stream(samples [][2]float64) (n int, ok bool) {
	for n < len(samples) {
		if len(m.rest) == 0 {
			if m.rest, ok = <-m.chunks; !ok {
				m.finished = true
				return n, n > 0
			}
		}
		k := copy(samples[n:], m.rest)
		m.rest = m.rest[k:]
		n += k
	}
	return n, true
}

// Err implements beep.Streamer.
func (m *measuredStream) Err() error {
	if !m.finished {
		return nil
	}
	return m.err
}

// Close ends the pass.
func (m *measuredStream) Close() { m.cancel() }
