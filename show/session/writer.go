package session

import (
	"bytes"
	"encoding/json"
	"io"
)

// A Writer appends a session to a file. It belongs to one goroutine, but for Sync,
// which another may call meanwhile.
type Writer struct {
	w    io.Writer
	sync func() error
	buf  bytes.Buffer
	n    int64
}

// NewWriter writes the header to w and syncs. sync puts what was written on
// disk; it may be nil where there is no disk.
func NewWriter(w io.Writer, sync func() error, h Header) (*Writer, error) {
	if sync == nil {
		sync = func() error { return nil }
	}
	h.Schema = Schema
	sw := &Writer{w: w, sync: sync}
	if err := sw.put(h); err != nil {
		return sw, err
	}
	return sw, sync()
}

// Sync puts on disk what has been written: from then on a power cut does not lose
// it. It may take long.
func (w *Writer) Sync() error { return w.sync() }

// Append numbers the entries and writes them in one go. When it returns without an
// error they outlive the program, and the number of the last is returned.
func (w *Writer) Append(entries ...Entry) (last int64, err error) {
	lines := make([]any, len(entries))
	for i := range entries {
		w.n++
		entries[i].N = w.n
		lines[i] = entries[i]
	}
	return w.n, w.put(lines...)
}

func (w *Writer) put(lines ...any) error {
	enc := json.NewEncoder(&w.buf)
	enc.SetEscapeHTML(false)
	for _, l := range lines {
		if err := enc.Encode(l); err != nil {
			return err
		}
	}
	// What a full disk refused stays in the buffer and is written first when
	// there is room again; half a line on disk is completed, not repeated.
	n, err := w.w.Write(w.buf.Bytes())
	w.buf.Next(n)
	return err
}
