package riff

import (
	"encoding/binary"
	"fmt"
	"io"
	"strings"
	"time"

	"drylane/show/timebase"
)

// A Marker is a named moment of a sound file.
type Marker struct {
	At     time.Duration // of its frame from the start, rounded to the nanosecond
	Label  string        // as its bytes are: in no stated encoding
	Note   string        // likewise
	Length time.Duration // of a region; 0 for a point
}

// maxMarkers bounds the markers of a file, and maxList the bytes of a list.
const (
	maxMarkers = 100_000
	maxList    = 32 << 20
)

// ErrNoMarkers is returned for a file without cue points.
var ErrNoMarkers = &Error{Found: "no cue points", Wanted: "a file with markers in it"}

// ReadMarkers reads the cue points of a WAVE file with their labels, notes and
// lengths: the chunk "cue " and the LIST chunks of type adtl. They come in the
// order of the file. The error is an *Error; ErrNoMarkers when there are none.
func ReadMarkers(r io.ReadSeeker) ([]Marker, error) {
	f, err := scan(r)
	if err != nil {
		return nil, err
	}
	c := f.find("cue ")
	if c == nil {
		return nil, ErrNoMarkers
	}
	b, err := f.Read(*c, 4+cuePointSize*maxMarkers)
	if err != nil {
		return nil, unreadable(err)
	}
	points, err := cuePoints(b)
	if err != nil {
		return nil, err
	}
	texts := f.texts()
	at := func(frame uint32) time.Duration { return timebase.Frame(frame).At(f.rate) }
	markers := make([]Marker, len(points))
	for i, p := range points {
		markers[i] = Marker{At: at(p.sample), Label: texts.label[p.id], Note: texts.note[p.id], Length: at(texts.length[p.id])}
	}
	return markers, nil
}

// texts reads all lists of labels. They are a courtesy: one that cannot be read
// is left out.
func (f *file) texts() adtl {
	texts := adtl{label: map[uint32]string{}, note: map[uint32]string{}, length: map[uint32]uint32{}}
	for _, c := range f.chunks {
		if c.ID == "LIST" {
			if b, err := f.Read(c, maxList); err == nil {
				texts.read(b)
			}
		}
	}
	return texts
}

// cuePointSize is the size of one record of a cue chunk, in bytes.
const cuePointSize = 24

// A cuePoint is what such a record says that matters.
type cuePoint struct{ id, sample uint32 }

// cuePoints reads the body of a cue chunk. The sample is taken from the last
// field: programs differ on whether the position is filled in without a
// playlist.
func cuePoints(b []byte) ([]cuePoint, error) {
	le := binary.LittleEndian
	if len(b) < 4 {
		return nil, &Error{Found: "a broken cue chunk", Wanted: wantWhole}
	}
	stated, there := int64(le.Uint32(b)), int64(len(b)-4)/cuePointSize
	switch {
	case stated > maxMarkers:
		return nil, &Error{Found: fmt.Sprintf("a cue chunk that says it has %d cue points", stated), Wanted: fmt.Sprintf("at most %d", maxMarkers)}
	case stated > there:
		return nil, &Error{Found: fmt.Sprintf("a cue chunk that says it has %d cue points and has %d", stated, there), Wanted: wantWhole}
	case stated == 0:
		return nil, ErrNoMarkers
	}
	points := make([]cuePoint, stated)
	for i := range points {
		p := b[4+cuePointSize*i:]
		points[i] = cuePoint{le.Uint32(p), le.Uint32(p[20:])}
	}
	return points, nil
}

// adtl is what associated data lists say, by cue point.
type adtl struct {
	label, note map[uint32]string
	length      map[uint32]uint32
}

// read takes the body of a LIST chunk; one of another type is left alone. A
// broken list ends where it breaks.
func (a adtl) read(b []byte) {
	le := binary.LittleEndian
	if len(b) < 4 || string(b[:4]) != "adtl" {
		return
	}
	for id, body := range Within(b[4:]) {
		if len(body) < 4 {
			continue
		}
		switch point := le.Uint32(body); {
		case id == "labl":
			a.label[point] = text(body[4:])
		case id == "note":
			a.note[point] = text(body[4:])
		case id == "ltxt" && len(body) >= 8:
			a.length[point] = le.Uint32(body[4:])
		}
	}
}

// text is what stands before the first zero byte.
func text(b []byte) string {
	s, _, _ := strings.Cut(string(b), "\x00")
	return s
}
