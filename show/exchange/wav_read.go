package exchange

import (
	"encoding/binary"
	"fmt"
	"io"
	"time"

	"drylane/show"
)

// ReadWAVMarkers reads the cue points of a WAVE file (RIFF, RF64 or BW64) with
// their labels, notes and lengths: the chunks "cue " and LIST of type adtl of
// the Multimedia Programming Interface and Data Specifications 1.0 (1991).
// Markers come in the order of the file. A file without any is an error.
func ReadWAVMarkers(name string, r io.ReadSeeker) ([]Marker, error) {
	f, err := scanWAV(name, r)
	if err != nil {
		return nil, err
	}
	c := f.find("cue ")
	if c == nil {
		return nil, noMarkers(name, "cue points")
	}
	b, err := readAt(r, c.at, min(c.size, 4+24*maxRows+1))
	if err != nil {
		return nil, wavError(name, "a file that cannot be read", wavWanted, err)
	}
	points, err := cuePoints(name, b)
	if err != nil {
		return nil, err
	}
	texts := adtl{label: map[uint32]string{}, note: map[uint32]string{}, length: map[uint32]uint32{}}
	for _, c := range f.chunks {
		if c.id == "LIST" {
			if b, err := readAt(r, c.at, min(c.size, maxMarkerBytes)); err == nil {
				texts.read(b)
			}
		}
	}
	markers := make([]Marker, len(points))
	for i, p := range points {
		markers[i] = Marker{
			At: f.at(p.sample), Label: texts.label[p.id], Note: texts.note[p.id], Length: f.at(texts.length[p.id]),
		}
	}
	return markers, nil
}

// at is when a frame sounds.
func (f *wavFile) at(frame uint32) time.Duration {
	n := int64(frame)
	return time.Duration(n/f.rate)*time.Second + time.Duration((n%f.rate*int64(time.Second)+f.rate/2)/f.rate)
}

// noMarkers is the error for a file without markers.
func noMarkers(name, what string) error {
	return show.Problem{Severity: show.SeverityStop, Code: show.CodeMissing, File: name, Found: "no " + what, Wanted: "a file with markers in it"}
}

// A cuePoint is one record of a cue chunk.
type cuePoint struct{ id, sample uint32 }

// cuePoints reads the body of a cue chunk. The sample is taken from the last
// field: programs differ on whether the position is filled in without a
// playlist.
func cuePoints(name string, b []byte) ([]cuePoint, error) {
	le := binary.LittleEndian
	if len(b) < 4 {
		return nil, wavError(name, "a broken cue chunk", "a whole WAV file", nil)
	}
	stated, there := int64(le.Uint32(b)), int64(len(b)-4)/24
	switch {
	case stated > maxRows:
		return nil, wavError(name, fmt.Sprintf("a cue chunk that says it has %d cue points", stated), fmt.Sprintf("at most %d", maxRows), nil)
	case stated > there:
		return nil, wavError(name, fmt.Sprintf("a cue chunk that says it has %d cue points and holds %d", stated, there), "a whole WAV file", nil)
	case stated == 0:
		return nil, noMarkers(name, "cue points")
	}
	points := make([]cuePoint, stated)
	for i := range points {
		p := b[4+24*i:]
		points[i] = cuePoint{le.Uint32(p), le.Uint32(p[20:])}
	}
	return points, nil
}

// adtl is what associated data lists say, by cue point.
type adtl struct {
	label, note map[uint32]string
	length      map[uint32]uint32
}

// read takes the body of a LIST chunk; one of another type is left alone. The
// texts are a courtesy: a broken list ends where it breaks.
func (a adtl) read(b []byte) {
	le := binary.LittleEndian
	if len(b) < 4 || string(b[:4]) != "adtl" {
		return
	}
	for b = b[4:]; len(b) >= 12; {
		id, size := string(b[:4]), int64(le.Uint32(b[4:]))
		body := b[8:min(8+size, int64(len(b)))]
		b = b[min(8+size+size%2, int64(len(b))):]
		if len(body) < 4 {
			continue
		}
		point := le.Uint32(body)
		switch {
		case id == "labl":
			a.label[point] = markerText(body[4:])
		case id == "note":
			a.note[point] = markerText(body[4:])
		case id == "ltxt" && len(body) >= 8:
			a.length[point] = le.Uint32(body[4:])
		}
	}
}
