package phrase

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"

	"drylane/show/timebase"
)

// Version numbers the analysis: what was stored by another is not used.
const Version = 1

// A Score is what was heard of a soundtrack, as it is kept.
type Score struct {
	Version int            `json:"version"`
	Rate    int            `json:"rate"`   // frames a second
	Length  timebase.Frame `json:"length"` // of the soundtrack
	Changes []Change       `json:"changes"`
}

// Times are the moments of the changes, in order.
func (s *Score) Times() []time.Duration {
	var at []time.Duration
	for _, c := range s.Changes {
		at = append(at, c.At.At(s.Rate))
	}
	return at
}

// Write stores the score as JSON.
func (s *Score) Write(w io.Writer) error {
	s.Version = Version
	return json.NewEncoder(w).Encode(s)
}

// maxStored is far more than the changes of a day of music need.
const maxStored = 8 << 20

// Read reads what Write wrote. Anything else is an error, as is what another Version
// wrote.
func Read(r io.Reader) (*Score, error) {
	var s Score
	if err := json.NewDecoder(io.LimitReader(r, maxStored)).Decode(&s); err != nil {
		return nil, fmt.Errorf("found no stored changes: %w", err)
	}
	if s.Version != Version {
		return nil, fmt.Errorf("found changes of version %d; wanted %d", s.Version, Version)
	}
	if s.Rate <= 0 || s.Length < 0 {
		return nil, errors.New("found stored changes without a rate")
	}
	last := timebase.Frame(-1)
	for _, c := range s.Changes {
		if c.At <= last || c.At >= s.Length || !(c.New >= 0) {
			return nil, errors.New("found stored changes out of order or past the end")
		}
		last = c.At
	}
	return &s, nil
}
