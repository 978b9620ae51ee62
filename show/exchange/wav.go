package exchange

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"

	"drylane/show"
)

// A wavChunk is a chunk of a WAVE file: where its bytes are and how many.
type wavChunk struct {
	id       string
	at, size int64 // of the body
}

// A wavFile is what the chunks of a WAVE file say that matters for markers.
type wavFile struct {
	chunks []wavChunk // in the order of the file, ds64 left out
	rate   int64      // frames a second
	block  int64      // bytes a frame
	frames int64      // how many there are
	large  bool       // RF64 or BW64
}

// maxChunks bounds the chunks of a file, and maxMarkerBytes those of the chunks
// that are read whole.
const (
	maxChunks      = 4096
	maxMarkerBytes = 32 << 20
)

const wavWanted = "a WAV file (RIFF, RF64 or BW64)"

var errNotWAV = errors.New("what is no WAV file")

// wavError words a problem with a sound file.
func wavError(name, found, wanted string, err error) error {
	return show.Problem{Severity: show.SeverityStop, Code: show.CodeFile, File: name, Found: found, Wanted: wanted, Err: err}
}

// unknownSize stands in a size field of 32 bits when the size is elsewhere or
// was never written.
const unknownSize = math.MaxUint32

// scanWAV finds the chunks of a WAVE file by the RIFF rules, and by EBU Tech
// 3306 for files past 4 GiB. It never trusts a size beyond the end of the file.
func scanWAV(name string, r io.ReadSeeker) (*wavFile, error) {
	end, err := r.Seek(0, io.SeekEnd)
	if err != nil {
		return nil, wavError(name, "a file that cannot be read", wavWanted, err)
	}
	head, err := readAt(r, 0, 12)
	if err != nil || len(head) < 12 || string(head[8:]) != "WAVE" {
		return nil, wavError(name, errNotWAV.Error(), wavWanted, errNotWAV)
	}
	f := &wavFile{}
	switch string(head[:4]) {
	case "RIFF":
	case "RF64", "BW64":
		f.large = true
	default:
		return nil, wavError(name, errNotWAV.Error(), wavWanted, errNotWAV)
	}
	long := map[string]int64{} // sizes from ds64
	for at := int64(12); at+8 <= end; {
		if len(f.chunks) == maxChunks {
			return nil, wavError(name, fmt.Sprintf("more than %d chunks", maxChunks), "a whole WAV file", nil)
		}
		h, err := readAt(r, at, 8)
		if err != nil {
			return nil, wavError(name, "a file that cannot be read", wavWanted, err)
		}
		c := wavChunk{id: string(h[:4]), at: at + 8, size: int64(binary.LittleEndian.Uint32(h[4:]))}
		if c.size == unknownSize {
			if c.size = end - c.at; f.large && long[c.id] > 0 {
				c.size = long[c.id]
			}
		}
		c.size = min(c.size, end-c.at)
		at = c.at + c.size + c.size%2
		if err := f.take(r, c, long); err != nil {
			return nil, wavError(name, err.Error(), "a whole WAV file", err)
		}
	}
	return f, f.complete(name)
}

// take notes what a chunk says.
func (f *wavFile) take(r io.ReadSeeker, c wavChunk, long map[string]int64) error {
	le := binary.LittleEndian
	if c.id == "ds64" {
		return readDS64(r, c, long)
	}
	f.chunks = append(f.chunks, c)
	switch c.id {
	case "fmt ":
		b, err := readAt(r, c.at, min(c.size, 16))
		if err != nil || len(b) < 16 {
			return errors.New("a broken format chunk")
		}
		f.rate, f.block = int64(le.Uint32(b[4:])), int64(le.Uint16(b[12:]))
	case "data":
		if f.block > 0 {
			f.frames = c.size / f.block
		}
	}
	return nil
}

// readDS64 reads the sizes that do not fit 32 bits.
func readDS64(r io.ReadSeeker, c wavChunk, long map[string]int64) error {
	le := binary.LittleEndian
	b, err := readAt(r, c.at, min(c.size, 28+12*maxChunks))
	if err != nil || len(b) < 24 {
		return errors.New("a broken ds64 chunk")
	}
	set := func(id string, size uint64) {
		if size <= math.MaxInt64/2 {
			long[id] = int64(size)
		}
	}
	set("data", le.Uint64(b[8:]))
	for b = b[min(28, len(b)):]; len(b) >= 12; b = b[12:] {
		set(string(b[:4]), le.Uint64(b[4:]))
	}
	return nil
}

// complete refuses a file without a format or sound.
func (f *wavFile) complete(name string) error {
	switch {
	case f.rate <= 0 || f.rate > 1_000_000 || f.block == 0:
		return wavError(name, "a WAV file without a sample rate that makes sense", "a whole WAV file", nil)
	case f.find("data") == nil:
		return wavError(name, "a WAV file without any sound data", "a whole WAV file", nil)
	}
	return nil
}

// find returns the first chunk with an id, nil when there is none.
func (f *wavFile) find(id string) *wavChunk {
	for i := range f.chunks {
		if f.chunks[i].id == id {
			return &f.chunks[i]
		}
	}
	return nil
}

// readAt reads n bytes at an offset, or as many as there are. It allocates by
// what is there.
func readAt(r io.ReadSeeker, at, n int64) ([]byte, error) {
	if _, err := r.Seek(at, io.SeekStart); err != nil {
		return nil, err
	}
	return io.ReadAll(io.LimitReader(r, n))
}
