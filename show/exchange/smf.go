package exchange

import (
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"slices"

	"drylane/show"
)

// Meta events of a Standard MIDI File (MIDI 1.0, Standard MIDI Files 1.0).
const (
	metaMarker   = 0x06
	metaCuePoint = 0x07
	metaEnd      = 0x2F
	metaTempo    = 0x51
)

// maxSMF bounds a MIDI file, in bytes.
const maxSMF = 16 << 20

const smfWanted = "a Standard MIDI File"

// Errors for what is not all there. Every track ends with an event of its own,
// which "is not optional" (Standard MIDI Files 1.0, meta event 2F): without it
// nobody can tell how many cues are missing.
var (
	errCut   = errors.New("a track that is cut off")
	errNoEnd = errors.New("a track without its end (no end-of-track event): cues may be missing")
)

// ReadSMFMarkers reads the markers and cue points (meta events 06 and 07) of a
// Standard MIDI File of format 0 or 1, in the order of time. Their times follow
// the file's tempo map, or its frames where the division is SMPTE; a -29 there
// is 30000/1001 frames a second. A file that is cut off anywhere before the end
// of its last track is refused: few cues look like all of them.
func ReadSMFMarkers(name string, r io.Reader) ([]Marker, error) {
	b, err := io.ReadAll(io.LimitReader(r, maxSMF+1))
	if err != nil {
		return nil, smfError(name, "a file that cannot be read", err)
	}
	if len(b) > maxSMF {
		return nil, smfError(name, "a file that is too large", nil)
	}
	division, tracks, err := smfTracks(name, b)
	if err != nil {
		return nil, err
	}
	var found smfEvents
	for i, t := range tracks {
		if err := found.read(t.body); err != nil {
			return nil, smfError(name, fmt.Sprintf("track %d: %v (byte %d)", i+1, err, t.at), err)
		}
	}
	return found.markers(name, division)
}

func smfError(name, found string, err error) error {
	return show.Problem{Severity: show.SeverityStop, Code: show.CodeFile, File: name, Found: found, Wanted: smfWanted, Err: err}
}

// A smfTrack is the body of a track chunk and where it begins.
type smfTrack struct {
	at   int
	body []byte
}

// smfTracks reads the header chunk and finds the tracks. Chunks of other types
// are passed over, as the standard asks.
func smfTracks(name string, b []byte) (division uint16, tracks []smfTrack, err error) {
	be := binary.BigEndian
	if len(b) < 14 || string(b[:4]) != "MThd" || be.Uint32(b[4:]) < 6 {
		return 0, nil, smfError(name, "a file that is not MIDI", nil)
	}
	format := be.Uint16(b[8:])
	division = be.Uint16(b[12:])
	if format > 1 {
		return 0, nil, smfError(name, fmt.Sprintf("a MIDI file of format %d, whose tracks do not run together", format), nil)
	}
	for at := 8 + int64(be.Uint32(b[4:])); at+8 <= int64(len(b)); {
		size := int64(be.Uint32(b[at+4:]))
		body := b[at+8 : min(at+8+size, int64(len(b)))]
		if string(b[at:at+4]) == "MTrk" {
			tracks = append(tracks, smfTrack{int(at), body})
			if missing := size - int64(len(body)); missing > 0 {
				return 0, nil, smfError(name, fmt.Sprintf("track %d: %v, %d of its %d bytes are missing (byte %d)", len(tracks), errCut, missing, size, at), errCut)
			}
		}
		at += 8 + size
	}
	stated := int(be.Uint16(b[10:]))
	switch {
	case len(tracks) < stated:
		return 0, nil, smfError(name, fmt.Sprintf("a MIDI file that is cut off: %d of its %d tracks are there", len(tracks), stated), errCut)
	case len(tracks) == 0:
		return 0, nil, smfError(name, "a MIDI file without tracks", nil)
	}
	return division, tracks, nil
}

// smfEvents are the events of all tracks that matter for markers.
type smfEvents struct {
	texts  []smfText
	tempos []smfTempo
}

type smfText struct {
	tick  int64
	label string
}

type smfTempo struct{ tick, micros int64 } // microseconds a quarter note

// read takes the events of one track, to its end-of-track event.
func (e *smfEvents) read(b []byte) error {
	var tick int64
	var running byte
	for len(b) > 0 {
		delta, rest, err := varLen(b)
		if err != nil {
			return err
		}
		if len(rest) == 0 {
			return errCut
		}
		tick += delta
		status := rest[0]
		if status < 0x80 { // running status
			if running == 0 {
				return fmt.Errorf("the byte 0x%02X where an event begins", status)
			}
			status = running
		} else {
			rest = rest[1:]
		}
		kind, data, rest, err := event(status, rest)
		if err != nil {
			return err
		}
		// System and meta events end running status.
		if running = status; status >= 0xF0 {
			running = 0
		}
		if status == 0xFF {
			if kind == metaEnd {
				return nil
			}
			if err := e.meta(tick, kind, data); err != nil {
				return err
			}
		}
		b = rest
	}
	return errNoEnd
}

// event splits an event's data from what follows it. kind is the type of a meta
// event.
func event(status byte, b []byte) (kind byte, data, rest []byte, err error) {
	length := int64(0)
	switch {
	case status == 0xFF:
		if len(b) == 0 {
			return 0, nil, nil, errCut
		}
		kind = b[0]
		if length, b, err = varLen(b[1:]); err != nil {
			return 0, nil, nil, err
		}
	case status == 0xF0 || status == 0xF7:
		if length, b, err = varLen(b); err != nil {
			return 0, nil, nil, err
		}
	case status >= 0xF0:
		return 0, nil, nil, fmt.Errorf("the event 0x%02X, which no file may hold", status)
	case status>>4 == 0xC || status>>4 == 0xD:
		length = 1
	default:
		length = 2
	}
	if length > int64(len(b)) {
		return 0, nil, nil, errCut
	}
	return kind, b[:length], b[length:], nil
}

// meta takes a meta event.
func (e *smfEvents) meta(tick int64, kind byte, data []byte) error {
	switch kind {
	case metaMarker, metaCuePoint:
		if len(e.texts) == maxRows {
			return fmt.Errorf("more than %d markers", maxRows)
		}
		e.texts = append(e.texts, smfText{tick, MarkerText(string(data))})
	case metaTempo:
		if len(data) != 3 {
			return fmt.Errorf("a tempo of %d bytes", len(data))
		}
		e.tempos = append(e.tempos, smfTempo{tick, int64(data[0])<<16 | int64(data[1])<<8 | int64(data[2])})
	}
	return nil
}

// varLen reads a variable-length quantity of at most four bytes.
func varLen(b []byte) (n int64, rest []byte, err error) {
	for i := range min(4, len(b)) {
		n = n<<7 | int64(b[i]&0x7F)
		if b[i] < 0x80 {
			return n, b[i+1:], nil
		}
	}
	if len(b) < 4 {
		return 0, nil, errCut
	}
	return 0, nil, errors.New("a length of more than four bytes")
}

// markers gives the texts their times.
func (e *smfEvents) markers(name string, division uint16) ([]Marker, error) {
	if len(e.texts) == 0 {
		return nil, show.Problem{Severity: show.SeverityStop, Code: show.CodeMissing, File: name, Found: "no markers or cue points", Wanted: "a file with markers in it"}
	}
	clock, err := newSMFClock(division, e.tempos)
	if err != nil {
		return nil, smfError(name, err.Error(), err)
	}
	slices.SortStableFunc(e.texts, func(a, b smfText) int { return cmp.Compare(a.tick, b.tick) })
	markers := make([]Marker, len(e.texts))
	for i, t := range e.texts {
		at, ok := clock.at(t.tick)
		if !ok || at > show.MaxTime {
			return nil, smfError(name, fmt.Sprintf("the marker %s more than 24 hours into the file", show.Quote(t.label)), nil)
		}
		markers[i] = Marker{At: at, Label: t.label}
	}
	return markers, nil
}
