package riff

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"slices"

	"drylane/show/timebase"
)

// WriteMarkers copies the WAVE file src to dst with the markers in it, as a cue
// chunk and a LIST chunk of type adtl behind the sound. The sound and every
// other chunk are copied byte for byte; cue points that src has already are
// left out, and replaced is how many they were. late is how many markers lie
// past the end of the sound: some programs do not show those.
//
// A marker is put on the nearest frame. One past frame 2^32-1, or a file that
// would outgrow the 4 GiB of RIFF by its markers, is an *Error; so is a src
// that does not read. Other errors are those of copying.
func WriteMarkers(dst io.Writer, src io.ReadSeeker, markers []Marker) (replaced, late int, err error) {
	f, err := scan(src)
	if err != nil {
		return 0, 0, err
	}
	if c := f.find("cue "); c != nil {
		if b, err := f.Read(*c, 4); err == nil && len(b) == 4 {
			replaced = int(min(int64(binary.LittleEndian.Uint32(b)), c.Size/cuePointSize))
		}
	}
	if err := f.dropMarkers(); err != nil {
		return 0, 0, unreadable(err)
	}
	tail, late, err := f.markerChunks(markers)
	if err != nil {
		return 0, 0, err
	}
	head, err := f.head(int64(len(tail)))
	if err != nil {
		return 0, 0, err
	}
	if _, err := dst.Write(head); err != nil {
		return 0, 0, err
	}
	for _, c := range f.chunks {
		if err := f.copy(dst, src, c); err != nil {
			return 0, 0, err
		}
	}
	_, err = dst.Write(tail)
	return replaced, late, err
}

// dropMarkers takes the chunks out that the new markers replace.
func (f *file) dropMarkers() error {
	var failed error
	f.chunks = slices.DeleteFunc(f.chunks, func(c Chunk) bool {
		if c.ID != "LIST" {
			return c.ID == "cue "
		}
		b, err := f.Read(c, 4)
		if err != nil {
			failed = err
		}
		return string(b) == "adtl"
	})
	return failed
}

// head is the beginning of the file, of whose chunks tail bytes are new: RIFF,
// or RF64 with its ds64 chunk.
func (f *file) head(tail int64) ([]byte, error) {
	size := int64(len("WAVE")) + tail
	for _, c := range f.chunks {
		size += 8 + c.Size + c.Size%2
	}
	switch {
	case f.Large:
		return AppendLargeHead(nil, size+8+longSize, f.find("data").Size, f.frames), nil
	case size > MaxSize:
		return nil, &Error{Found: "a WAV file of 4 GiB that has no room for markers", Wanted: "an RF64 file"}
	}
	return AppendHead(nil, uint32(size)), nil
}

// copy copies a chunk, padded to an even size. The size of an RF64 file's sound
// stands in ds64.
func (f *file) copy(dst io.Writer, src io.ReadSeeker, c Chunk) error {
	size := uint32(c.Size)
	if f.Large && c.ID == "data" {
		size = UnknownSize
	}
	if _, err := dst.Write(AppendChunkHead(nil, c.ID, size)); err != nil {
		return err
	}
	if _, err := src.Seek(c.At, io.SeekStart); err != nil {
		return err
	}
	if _, err := io.CopyN(dst, src, c.Size); err != nil {
		return err
	}
	_, err := dst.Write(make([]byte, c.Size%2))
	return err
}

// markerChunks are the cue chunk and the list of its texts. All labels come
// before the notes: some programs stop reading at the first text that is no
// label.
func (f *file) markerChunks(markers []Marker) (chunks []byte, late int, err error) {
	le := binary.LittleEndian
	markers = slices.Clone(markers)
	slices.SortStableFunc(markers, func(a, b Marker) int { return cmp.Compare(a.At, b.At) })
	points := le.AppendUint32(nil, uint32(len(markers)))
	labels, notes := []byte("adtl"), []byte{}
	for i, m := range markers {
		frame := int64(timebase.FrameAt(m.At, f.rate))
		if frame > math.MaxUint32 {
			return nil, 0, &Error{Found: fmt.Sprintf("a marker on frame %d", frame), Wanted: "none past frame 4294967295, the last that a WAV file can mark"}
		}
		if frame > f.frames {
			late++
		}
		id, at := uint32(i+1), uint32(frame)
		points = le.AppendUint32(le.AppendUint32(points, id), at)
		points = le.AppendUint32(append(points, "data"...), 0)
		points = le.AppendUint32(le.AppendUint32(points, 0), at)
		labels = appendText(labels, "labl", id, m.Label)
		notes = appendText(notes, "note", id, m.Note)
	}
	return AppendChunk(AppendChunk(nil, "cue ", points), "LIST", append(labels, notes...)), late, nil
}

// appendText appends a chunk with a text of a cue point, which ends in a zero
// byte, unless there is none.
func appendText(b []byte, id string, point uint32, s string) []byte {
	if s == "" {
		return b
	}
	body := append(binary.LittleEndian.AppendUint32(nil, point), s...)
	return AppendChunk(b, id, append(body, 0))
}
