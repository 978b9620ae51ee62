package onset

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"drylane/playback"
)

// Version numbers the analysis: what was stored by another is not used.
const Version = 1

// stored is Music as it is kept.
type stored struct {
	Version   int              `json:"version"`
	Rate      int              `json:"rate"`
	Length    playback.Frame   `json:"length"`
	Tempo     float64          `json:"tempo"`
	At        []playback.Frame `json:"at"`
	Strengths []float64        `json:"strength"`
	Beats     []playback.Frame `json:"beats"`
}

// Write stores m as JSON.
func (m *Music) Write(w io.Writer) error {
	s := stored{Version: Version, Rate: m.Rate, Length: m.Length, Tempo: m.Tempo, Beats: m.Beats}
	for _, a := range m.Accents {
		s.At = append(s.At, a.At)
		s.Strengths = append(s.Strengths, a.Strength)
	}
	return json.NewEncoder(w).Encode(s)
}

// maxStored is far more than a day of music needs.
const maxStored = 64 << 20

// Read reads what Write wrote. Anything else is an error, as is what another
// Version wrote.
func Read(r io.Reader) (*Music, error) {
	var s stored
	if err := json.NewDecoder(io.LimitReader(r, maxStored)).Decode(&s); err != nil {
		return nil, fmt.Errorf("found no stored onsets: %w", err)
	}
	if s.Version != Version {
		return nil, fmt.Errorf("found onsets of version %d; wanted %d", s.Version, Version)
	}
	if s.Rate <= 0 || s.Length < 0 || len(s.At) != len(s.Strengths) || !(s.Tempo >= 0) {
		return nil, errors.New("found stored onsets that contradict themselves")
	}
	m := &Music{Rate: s.Rate, Length: s.Length, Tempo: s.Tempo, Beats: s.Beats}
	for i, at := range s.At {
		if !(s.Strengths[i] >= 0) {
			return nil, fmt.Errorf("found onset %d of strength %v", i+1, s.Strengths[i])
		}
		m.Accents = append(m.Accents, Accent{at, s.Strengths[i]})
	}
	if !inOrder(s.At, s.Length) || !inOrder(s.Beats, s.Length) {
		return nil, errors.New("found stored onsets out of order or past the end")
	}
	return m, nil
}

// inOrder reports whether frames ascend within the music.
func inOrder(frames []playback.Frame, length playback.Frame) bool {
	last := playback.Frame(0)
	for _, f := range frames {
		if f < last || f >= length {
			return false
		}
		last = f
	}
	return true
}
