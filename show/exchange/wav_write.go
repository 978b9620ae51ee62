package exchange

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"slices"
	"time"
)

// MarkWAV copies the WAVE file src to dst with the markers in it, as a cue
// chunk and a LIST chunk of type adtl behind the sound. The sound and every
// other chunk are copied byte for byte; cue points that src has already are
// left out, and replaced is how many they were. late is how many markers lie
// past the end of the sound: some programs do not show those.
//
// A marker is put on the nearest frame. One past frame 2^32-1, or a file that
// would outgrow the 4 GiB of RIFF by its markers, is an error.
func MarkWAV(name string, dst io.Writer, src io.ReadSeeker, markers []Marker) (replaced, late int, err error) {
	f, err := scanWAV(name, src)
	if err != nil {
		return 0, 0, err
	}
	if c := f.find("cue "); c != nil {
		if b, err := readAt(src, c.at, 4); err == nil && len(b) == 4 {
			replaced = int(min(int64(binary.LittleEndian.Uint32(b)), c.size/24))
		}
	}
	if err := f.dropMarkers(src); err != nil {
		return 0, 0, wavError(name, "a file that cannot be read", wavWanted, err)
	}
	cue, list, late, err := f.markerChunks(name, markers)
	if err != nil {
		return 0, 0, err
	}
	size := 4 + int64(len(cue)+len(list))
	for _, c := range f.chunks {
		size += 8 + c.size + c.size%2
	}
	if f.large {
		size += 8 + 28
	} else if size >= math.MaxUint32 {
		return 0, 0, wavError(name, "a WAV file of 4 GiB that has no room for markers", "an RF64 file", nil)
	}
	if _, err := dst.Write(f.header(size)); err != nil {
		return 0, 0, err
	}
	for _, c := range f.chunks {
		if err := f.copyChunk(dst, src, c); err != nil {
			return 0, 0, err
		}
	}
	_, err = dst.Write(append(cue, list...))
	return replaced, late, err
}

// dropMarkers takes the chunks out that the new markers replace.
func (f *wavFile) dropMarkers(r io.ReadSeeker) error {
	var failed error
	f.chunks = slices.DeleteFunc(f.chunks, func(c wavChunk) bool {
		if c.id != "LIST" {
			return c.id == "cue "
		}
		b, err := readAt(r, c.at, 4)
		if err != nil {
			failed = err
		}
		return string(b) == "adtl"
	})
	return failed
}

// header is the beginning of the file: RIFF, or RF64 with its ds64 chunk.
func (f *wavFile) header(size int64) []byte {
	le := binary.LittleEndian
	if !f.large {
		return append(le.AppendUint32([]byte("RIFF"), uint32(size)), "WAVE"...)
	}
	h := append(le.AppendUint32([]byte("RF64"), unknownSize), "WAVEds64"...)
	h = le.AppendUint32(h, 28)
	h = le.AppendUint64(h, uint64(size))
	h = le.AppendUint64(h, uint64(f.find("data").size))
	h = le.AppendUint64(h, uint64(f.frames))
	return le.AppendUint32(h, 0)
}

// copyChunk copies a chunk, padded to an even size. The size of an RF64 file's
// sound stands in ds64.
func (f *wavFile) copyChunk(dst io.Writer, src io.ReadSeeker, c wavChunk) error {
	size := uint32(c.size)
	if f.large && c.id == "data" {
		size = unknownSize
	}
	if _, err := dst.Write(binary.LittleEndian.AppendUint32([]byte(c.id), size)); err != nil {
		return err
	}
	if _, err := src.Seek(c.at, io.SeekStart); err != nil {
		return err
	}
	if _, err := io.CopyN(dst, src, c.size); err != nil {
		return err
	}
	_, err := dst.Write(make([]byte, c.size%2))
	return err
}

// markerChunks are the cue chunk and the list of its texts.
func (f *wavFile) markerChunks(name string, markers []Marker) (cue, list []byte, late int, err error) {
	le := binary.LittleEndian
	markers = slices.Clone(markers)
	slices.SortStableFunc(markers, func(a, b Marker) int { return cmp.Compare(a.At, b.At) })
	cue = le.AppendUint32(le.AppendUint32([]byte("cue "), uint32(4+24*len(markers))), uint32(len(markers)))
	// All labels come before the notes: some programs stop reading at the first
	// text that is no label.
	adtl, notes := bytes.NewBufferString("adtl"), new(bytes.Buffer)
	for i, m := range markers {
		frame := f.frame(m.At)
		if frame > math.MaxUint32 {
			return nil, nil, 0, wavError(name, fmt.Sprintf("a marker on frame %d", frame), "none past frame 4294967295, the last that a WAV file can mark", nil)
		}
		if frame > f.frames {
			late++
		}
		id, at := uint32(i+1), uint32(frame)
		cue = le.AppendUint32(le.AppendUint32(cue, id), at)
		cue = le.AppendUint32(append(cue, "data"...), 0)
		cue = le.AppendUint32(le.AppendUint32(cue, 0), at)
		text(adtl, "labl", id, m.Label)
		text(notes, "note", id, m.Note)
	}
	adtl.Write(notes.Bytes())
	list = le.AppendUint32([]byte("LIST"), uint32(adtl.Len()))
	return cue, append(list, adtl.Bytes()...), late, nil
}

// text appends a sub-chunk with a text, unless there is none.
func text(b *bytes.Buffer, id string, point uint32, s string) {
	if s == "" {
		return
	}
	le := binary.LittleEndian
	b.WriteString(id)
	b.Write(le.AppendUint32(nil, uint32(4+len(s)+1)))
	b.Write(le.AppendUint32(nil, point))
	b.WriteString(s)
	b.Write(make([]byte, 1+(len(s)+1)%2)) // the end of the text, and a pad byte
}

// frame is the frame nearest to d, which is not negative.
func (f *wavFile) frame(d time.Duration) int64 {
	s, rest := int64(d/time.Second), int64(d%time.Second)
	return s*f.rate + (rest*f.rate+int64(time.Second)/2)/int64(time.Second)
}
