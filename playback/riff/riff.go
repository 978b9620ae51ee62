// Package riff walks the chunks of a WAVE file, and reads and writes the
// markers among them: RIFF as in the Multimedia Programming Interface and Data
// Specifications 1.0 (1991), RF64 and BW64 as in EBU Tech 3306 for files past
// 4 GiB.
package riff

import (
	"encoding/binary"
	"errors"
	"io"
	"iter"
	"math"
)

// UnknownSize stands in a size field of 32 bits when the size is elsewhere or
// was never written.
const UnknownSize = math.MaxUint32

// ErrNotWAVE is returned for a file of another kind.
var ErrNotWAVE = errors.New("a file that is not WAV")

// ErrCut is returned for a file that ends within its first twelve bytes.
var ErrCut = errors.New("a WAV file cut off within its header")

// A Chunk is where the body of a chunk is and how long.
type Chunk struct {
	ID     string
	At     int64 // of the body, in the file
	Size   int64 // of the body: what there is of it
	Stated int64 // what it says of its size; UnknownSize or below 0 when that is not known
}

// next is where the chunk behind c begins.
func (c Chunk) next() int64 { return c.At + c.Size + c.Size%2 }

// A Walker yields the chunks of a file one after the other. It never trusts a
// size beyond the end of the file, and allocates by what is there.
type Walker struct {
	Large bool   // RF64 or BW64
	Size  uint32 // what the header says of the size of the file behind it

	r    io.ReadSeeker
	at   int64
	end  int64
	long map[string]int64 // sizes from ds64
}

// Walk begins to walk the WAVE file that starts at offset at of r. The error is
// ErrNotWAVE, ErrCut or one of reading.
func Walk(r io.ReadSeeker, at int64) (*Walker, error) {
	end, err := r.Seek(0, io.SeekEnd)
	if err != nil {
		return nil, err
	}
	head, err := ReadAt(r, at, 12)
	switch {
	case err != nil:
		return nil, err
	case len(head) < 12:
		return nil, ErrCut
	case string(head[8:]) != "WAVE":
		return nil, ErrNotWAVE
	}
	w := &Walker{Size: binary.LittleEndian.Uint32(head[4:]), r: r, at: at + 12, end: end, long: map[string]int64{}}
	switch string(head[:4]) {
	case "RIFF":
	case "RF64", "BW64":
		w.Large = true
	default:
		return nil, ErrNotWAVE
	}
	return w, nil
}

// Next returns the next chunk; io.EOF when there is none. The sizes of ds64 are
// taken as it passes, and hold for the chunks behind it.
func (w *Walker) Next() (Chunk, error) {
	h, err := ReadAt(w.r, w.at, 8)
	if err != nil {
		return Chunk{}, err
	}
	if len(h) < 8 {
		return Chunk{}, io.EOF
	}
	c := Chunk{ID: string(h[:4]), At: w.at + 8, Stated: int64(binary.LittleEndian.Uint32(h[4:]))}
	if size := w.long[c.ID]; w.Large && size != 0 && c.Stated == UnknownSize {
		c.Stated = size
	}
	c.Size = w.Left(c)
	if c.Stated >= 0 && c.Stated != UnknownSize {
		c.Size = min(c.Stated, c.Size)
	}
	w.at = c.next()
	if c.ID == "ds64" {
		return c, w.readLong(c)
	}
	return c, nil
}

// Read returns the body of c, at most limit bytes of it.
func (w *Walker) Read(c Chunk, limit int64) ([]byte, error) {
	return ReadAt(w.r, c.At, min(c.Size, limit))
}

// Left returns how many bytes there are from the body of c to the end of the
// file.
func (w *Walker) Left(c Chunk) int64 { return w.end - c.At }

// readLong takes the sizes that do not fit 32 bits. A broken ds64 gives none.
func (w *Walker) readLong(c Chunk) error {
	le := binary.LittleEndian
	b, err := w.Read(c, 28+12*maxChunks)
	if err != nil || len(b) < 24 {
		return err
	}
	w.long["data"] = int64(le.Uint64(b[8:])) // below 0 is as good as unknown
	for b = b[min(28, len(b)):]; len(b) >= 12; b = b[12:] {
		w.long[string(b[:4])] = int64(le.Uint64(b[4:]))
	}
	return nil
}

// Within yields the chunks in the body of a list, ids with their bodies; one
// that is cut off gives what there is of it.
func Within(b []byte) iter.Seq2[string, []byte] {
	return func(yield func(string, []byte) bool) {
		for len(b) >= 8 {
			id, size := string(b[:4]), int64(binary.LittleEndian.Uint32(b[4:]))
			b = b[8:]
			if !yield(id, b[:min(size, int64(len(b)))]) {
				return
			}
			b = b[min(size+size%2, int64(len(b))):]
		}
	}
}

// ReadAt reads n bytes at an offset, or as many as there are. It allocates by
// what is there.
func ReadAt(r io.ReadSeeker, at, n int64) ([]byte, error) {
	if _, err := r.Seek(at, io.SeekStart); err != nil {
		return nil, err
	}
	return io.ReadAll(io.LimitReader(r, n))
}
