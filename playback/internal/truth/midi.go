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
	s, division, err := readScore(r)
	if err != nil {
		return nil, err
	}
	return s.notes(division), nil
}

func readScore(r io.Reader) (s *score, division int64, err error) {
	b, err := io.ReadAll(io.LimitReader(r, maxMIDI+1))
	if err != nil {
		return nil, 0, err
	}
	if len(b) > maxMIDI {
		return nil, 0, fmt.Errorf("%w: found more than %d bytes", errMIDI, maxMIDI)
	}
	division, tracks, err := chunks(b)
	if err != nil {
		return nil, 0, err
	}
	s = new(score)
	for i, t := range tracks {
		if err := s.track(t); err != nil {
			return nil, 0, fmt.Errorf("%w: track %d: %w", errMIDI, i+1, err)
		}
	}
	return s, division, nil
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

// A meter is a time signature from a tick on.
type meter struct {
	tick         int64
	beats, below int // of a bar: so many, each of a whole note's part 1/2^below
}

// A score is what all tracks hold, in ticks.
type score struct {
	tempos []tempo
	meters []meter
	played []tickNote
}

// notes puts the notes where the tempos carry them.
func (s *score) notes(division int64) []Note {
	slices.SortStableFunc(s.played, func(a, b tickNote) int { return cmp.Compare(a.tick, b.tick) })
	w := s.walk(division)
	out := make([]Note, 0, len(s.played))
	for _, p := range s.played {
		n := p.note
		n.At = w.at(p.tick)
		out = append(out, n)
	}
	return out
}

// A walk tells when ticks come; it is asked for them in order.
type walk struct {
	division, tick, micros int64
	sum                    int64 // microseconds times division up to tick, which is whole
	tempos                 []tempo
}

func (s *score) walk(division int64) *walk {
	slices.SortStableFunc(s.tempos, func(a, b tempo) int { return cmp.Compare(a.tick, b.tick) })
	// 120 quarter notes a minute until a tempo says otherwise.
	return &walk{division: division, micros: 500_000, tempos: s.tempos}
}

func (w *walk) at(tick int64) time.Duration {
	for ; len(w.tempos) > 0 && w.tempos[0].tick <= tick; w.tempos = w.tempos[1:] {
		w.sum += (w.tempos[0].tick - w.tick) * w.micros
		w.tick, w.micros = w.tempos[0].tick, w.tempos[0].micros
	}
	return time.Duration((w.sum + (tick-w.tick)*w.micros) / w.division * 1000)
}
