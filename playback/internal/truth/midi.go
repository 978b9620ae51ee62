// Package truth makes, for tests and tools only, music whose onsets are known, and
// scores a detector's answer against them: note onsets read from Standard MIDI
// Files, audio rendered from the same files by an outside synthesiser, and the
// F-measure of the two. Nothing that is shipped imports it.
package truth

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"slices"
	"time"
)

// A Note is the start of one note.
type Note struct {
	At       time.Duration
	Channel  int // from 0; 9 is percussion in General MIDI
	Key      int // 0..127
	Velocity int // 1..127
}

// maxMIDI is the size in bytes above which a file is refused: the largest
// scores are well below it.
const maxMIDI = 8 << 20

// errMIDI begins every reason for which a file is refused.
var errMIDI = errors.New("not a usable standard MIDI file")

// ReadMIDI returns the notes of a Standard MIDI File (RP-001, 1996) of format
// 0 or 1 in order of time. Tempo changes are followed exactly; the times are
// rounded to the nanosecond. A track that is cut short is an error.
func ReadMIDI(r io.Reader) ([]Note, error) {
	b, err := io.ReadAll(io.LimitReader(r, maxMIDI+1))
	if err != nil {
		return nil, err
	}
	if len(b) > maxMIDI {
		return nil, fmt.Errorf("%w: found more than %d bytes", errMIDI, maxMIDI)
	}
	division, tracks, err := chunks(b)
	if err != nil {
		return nil, err
	}
	var s score
	for i, t := range tracks {
		if err := s.track(t); err != nil {
			return nil, fmt.Errorf("%w: track %d: %w", errMIDI, i+1, err)
		}
	}
	return s.notes(division), nil
}

// chunks takes a file apart. division is the number of ticks in a quarter note.
func chunks(b []byte) (division int64, tracks [][]byte, err error) {
	if len(b) < 14 || !bytes.HasPrefix(b, []byte("MThd\x00\x00\x00\x06")) {
		return 0, nil, fmt.Errorf("%w: no MThd header of 6 bytes at the start", errMIDI)
	}
	if format := binary.BigEndian.Uint16(b[8:]); format > 1 {
		return 0, nil, fmt.Errorf("%w: found format %d; wanted 0 or 1", errMIDI, format)
	}
	division = int64(binary.BigEndian.Uint16(b[12:]))
	if division == 0 || division >= 1<<15 {
		return 0, nil, fmt.Errorf("%w: found a division of %#x; wanted ticks in a quarter note", errMIDI, division)
	}
	for b = b[14:]; len(b) >= 8; {
		kind, size := string(b[:4]), int64(binary.BigEndian.Uint32(b[4:]))
		if size > int64(len(b)-8) {
			return 0, nil, fmt.Errorf("%w: found a chunk of %d bytes with %d left", errMIDI, size, len(b)-8)
		}
		if kind == "MTrk" {
			tracks = append(tracks, b[8:8+size])
		}
		b = b[8+size:]
	}
	return division, tracks, nil
}

// A tempo is microseconds in a quarter note from a tick on.
type tempo struct{ tick, micros int64 }

// A tickNote is a note that still lies at its tick.
type tickNote struct {
	tick int64
	note Note
}

// A score is what all tracks hold, in ticks.
type score struct {
	tempos []tempo
	played []tickNote
}

// notes puts the notes where the tempos carry them.
func (s *score) notes(division int64) []Note {
	slices.SortStableFunc(s.tempos, func(a, b tempo) int { return cmp.Compare(a.tick, b.tick) })
	slices.SortStableFunc(s.played, func(a, b tickNote) int { return cmp.Compare(a.tick, b.tick) })
	// Time is summed up in microseconds times division, which is whole.
	var at, tick int64
	micros := int64(500_000) // 120 quarter notes a minute until a tempo says otherwise
	next := 0
	out := make([]Note, 0, len(s.played))
	for _, p := range s.played {
		for ; next < len(s.tempos) && s.tempos[next].tick <= p.tick; next++ {
			at += (s.tempos[next].tick - tick) * micros
			tick, micros = s.tempos[next].tick, s.tempos[next].micros
		}
		n := p.note
		n.At = time.Duration((at + (p.tick-tick)*micros) / division * 1000)
		out = append(out, n)
	}
	return out
}
