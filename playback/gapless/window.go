package gapless

import (
	"errors"
	"io"
)

// A window reads a seekable source through one buffer, so that looking at a
// few bytes here and there costs no read of its own.
type window struct {
	rs   io.ReadSeeker
	buf  []byte
	off  int64 // of buf[0] in the source
	n    int   // bytes of buf that are filled
	pos  int64 // of rs; -1 when unknown
	last int64 // where rs was found to end; -1 when it was not yet
	keep int   // bytes kept before the place asked for, so that short steps back are free
	// work counts the places looked at, and the bytes searched for a header
	// between them. Tests hold it to a multiple of the source's length.
	work int64
}

func newWindow(rs io.ReadSeeker, size, keep int) *window {
	return &window{rs: rs, buf: make([]byte, size), pos: -1, last: -1, keep: keep}
}

// at returns the n bytes of the source from off on, fewer where it ends. They
// stay good until the next call. n must not exceed the buffer less keep.
func (w *window) at(off int64, n int) ([]byte, error) {
	w.work++
	end := w.off + int64(w.n)
	if off < w.off || off+int64(n) > end && end != w.last {
		if err := w.fill(off, n); err != nil {
			return nil, err
		}
	}
	lo := min(off-w.off, int64(w.n))
	hi := min(lo+int64(n), int64(w.n))
	return w.buf[lo:hi], nil
}

// fill moves the buffer to hold n bytes from off on.
func (w *window) fill(off int64, n int) error {
	from := max(0, off-int64(w.keep))
	have := 0
	if from >= w.off && from < w.off+int64(w.n) {
		have = copy(w.buf, w.buf[from-w.off:w.n])
	}
	w.off, w.n = from, have
	if at := from + int64(have); w.pos != at {
		w.pos = -1
		if _, err := w.rs.Seek(at, io.SeekStart); err != nil {
			return err
		}
		w.pos = at
	}
	for w.off+int64(w.n) < off+int64(n) {
		m, err := w.rs.Read(w.buf[w.n:])
		w.n += m
		w.pos += int64(m)
		if errors.Is(err, io.EOF) {
			w.last = w.off + int64(w.n)
			break
		}
		if err != nil {
			w.pos = -1
			return err
		}
	}
	return nil
}

// header returns the frame header at off, 0 (which is no header) past the end.
func (w *window) header(off int64) (header, error) {
	b, err := w.at(off, headerSize)
	if err != nil || len(b) < headerSize {
		return 0, err
	}
	return readHeader(b), nil
}
