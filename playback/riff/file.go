package riff

import (
	"errors"
	"fmt"
	"io"
)

// An Error says what is wrong with a WAVE file and what is wanted.
type Error struct {
	Found, Wanted string
	Err           error // what lies behind it; often nil
}

// Error returns one line.
func (e *Error) Error() string { return "found " + e.Found + "; wanted " + e.Wanted }

// Unwrap returns Err.
func (e *Error) Unwrap() error { return e.Err }

const (
	wantWAV   = "a WAV file (RIFF, RF64 or BW64)"
	wantWhole = "a whole WAV file"
)

// unreadable is the error of a file that cannot be read.
func unreadable(err error) error { return &Error{"a file that cannot be read", wantWAV, err} }

// maxChunks bounds the chunks of a file.
const maxChunks = 4096

// A file is what the chunks of a WAVE file say that matters for markers.
type file struct {
	*Walker
	chunks []Chunk // in the order of the file, ds64 left out
	rate   int     // frames a second
	frames int64   // how many there are
}

// scan finds all chunks.
func scan(r io.ReadSeeker) (*file, error) {
	w, err := Walk(r, 0)
	switch {
	case errors.Is(err, ErrNotWAVE), errors.Is(err, ErrCut):
		return nil, &Error{ErrNotWAVE.Error(), wantWAV, ErrNotWAVE}
	case err != nil:
		return nil, unreadable(err)
	}
	f := &file{Walker: w}
	block := 0
	for {
		c, err := w.Next()
		switch {
		case err == io.EOF:
			return f, f.complete(block)
		case err != nil:
			return nil, unreadable(err)
		case len(f.chunks) == maxChunks:
			return nil, &Error{Found: fmt.Sprintf("more than %d chunks", maxChunks), Wanted: wantWhole}
		}
		switch c.ID {
		case "ds64":
			continue
		case "fmt ":
			b, err := w.Read(c, 40)
			if err != nil {
				return nil, unreadable(err)
			}
			format, ok := ParseFormat(b)
			if !ok {
				return nil, &Error{Found: "a broken format chunk", Wanted: wantWhole}
			}
			f.rate, block = format.Rate, format.Block
		case "data":
			if block > 0 {
				f.frames = c.Size / int64(block)
			}
		}
		f.chunks = append(f.chunks, c)
	}
}

// complete refuses a file without a format or sound.
func (f *file) complete(block int) error {
	switch {
	case f.rate <= 0 || f.rate > 1_000_000 || block == 0:
		return &Error{Found: "a WAV file without a sample rate that makes sense", Wanted: wantWhole}
	case f.find("data") == nil:
		return &Error{Found: "a WAV file without any sound data", Wanted: wantWhole}
	}
	return nil
}

// find returns the first chunk with an id, nil when there is none.
func (f *file) find(id string) *Chunk {
	for i := range f.chunks {
		if f.chunks[i].ID == id {
			return &f.chunks[i]
		}
	}
	return nil
}
