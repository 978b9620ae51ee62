package onset

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"drylane/show/timebase"
)

// Version numbers the analysis: what was stored by another is not used.
const Version = 4

// stored is Music as it is kept.
type stored struct {
	Version   int              `json:"version"`
	Rate      int              `json:"rate"`
	Length    timebase.Frame   `json:"length"`
	Tempo     float64          `json:"tempo"`
	At        []timebase.Frame `json:"at"`
	Strengths []float64        `json:"strength"`
	Rises     []float64        `json:"rise"`
	Louds     []float64        `json:"loud"`
	Gains     []float64        `json:"gain"`
	Turns     []float64        `json:"turn"`
	Basses    []float64        `json:"bass"`
	Beats     []timebase.Frame `json:"beats"`
}

// Write stores m as JSON.
func (m *Music) Write(w io.Writer) error {
	s := stored{Version: Version, Rate: m.Rate, Length: m.Length, Tempo: m.Tempo, Beats: m.Beats}
	for _, a := range m.Accents {
		s.At = append(s.At, a.At)
		s.Strengths, s.Rises = append(s.Strengths, a.Strength), append(s.Rises, a.Rise)
		s.Louds, s.Gains = append(s.Louds, a.Loud), append(s.Gains, a.Gain)
		s.Turns, s.Basses = append(s.Turns, a.Turn), append(s.Basses, a.Bass)
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
	if n := len(s.At); s.Rate <= 0 || s.Length < 0 || n != len(s.Strengths) || n != len(s.Rises) || n != len(s.Louds) || n != len(s.Gains) || n != len(s.Turns) || n != len(s.Basses) || !(s.Tempo >= 0) {
		return nil, errors.New("found stored onsets that contradict themselves")
	}
	m := &Music{Rate: s.Rate, Length: s.Length, Tempo: s.Tempo, Beats: s.Beats}
	for i, at := range s.At {
		a := Accent{at, s.Strengths[i], s.Rises[i], s.Louds[i], s.Gains[i], s.Turns[i], s.Basses[i]}
		if !(min(a.Strength, a.Rise, a.Loud, a.Gain, a.Turn, a.Bass) >= 0) {
			return nil, fmt.Errorf("found onset %d with figures below 0", i+1)
		}
		m.Accents = append(m.Accents, a)
	}
	if !inOrder(s.At, s.Length) || !inOrder(s.Beats, s.Length) {
		return nil, errors.New("found stored onsets out of order or past the end")
	}
	return m, nil
}

// inOrder reports whether frames ascend within the music.
func inOrder(frames []timebase.Frame, length timebase.Frame) bool {
	last := timebase.Frame(0)
	for _, f := range frames {
		if f < last || f >= length {
			return false
		}
		last = f
	}
	return true
}
