package playback

import (
	"context"
	"io"

	"drylane/playback/internal/plainfile"
	"drylane/show/timebase"
)

// A PassStream is a whole pass over a file as a beep.Streamer, for those
// who pull: it decodes on all cores ahead of them.
type PassStream struct {
	chunks   chan [][2]float64
	rest     [][2]float64
	err      error // set before chunks is closed
	finished bool
	cancel   context.CancelFunc

	read, total int64
	told        func(part float64) // nil: nobody wants to know
}

// NewPassStream starts a pass over the file at path. Close it.
func NewPassStream(ctx context.Context, path string) *PassStream {
	ctx, cancel := context.WithCancel(ctx)
	m := &PassStream{chunks: make(chan [][2]float64, 8), cancel: cancel}
	go func() {
		defer close(m.chunks)
		open := func() (io.ReadSeekCloser, error) { return plainfile.Open(path) }
		m.err = Pass(ctx, path, open, func(_ timebase.Frame, frames [][2]float64) error {
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

// Told has fn told how much of a file of that length has been read, 0 to 1.
func (m *PassStream) Told(length timebase.Frame, fn func(part float64)) {
	m.total, m.told = max(1, int64(length)), fn
}

// Stream implements beep.Streamer.
func (m *PassStream) Stream(samples [][2]float64) (n int, ok bool) {
	defer func() {
		if m.read += int64(n); m.told != nil {
			m.told(float64(m.read) / float64(m.total))
		}
	}()
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
func (m *PassStream) Err() error {
	if !m.finished {
		return nil
	}
	return m.err
}

// Close ends the pass.
func (m *PassStream) Close() { m.cancel() }
