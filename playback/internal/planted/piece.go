// Package planted makes, for tests and tools only, cue lists for music whose notes
// are known, plants in them what may be wrong with a list, and counts what a review
// tells of it. Nothing that is shipped imports it.
package planted

import (
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"drylane/playback/accents"
	"drylane/playback/internal/truth"
	"drylane/playback/onset"
	"drylane/show/review"
)

// A Piece is music as a review has it, and what its score says of it.
type Piece struct {
	Name   string
	Half   truth.Half
	Music  review.Music
	Grid   truth.Grid
	Onsets []time.Duration
	// Loud is how loud each onset is by the score: the sum of the squares of its
	// notes' velocities.
	Loud []int

	ear func() *review.Ear
}

// Prepare plays a piece of the corpus and listens to it. folder keeps what was heard,
// and what was played if it is there already; a later run takes it from there.
func Prepare(ctx context.Context, s truth.Source, folder string) (*Piece, error) {
	notes, err := truth.ReadMIDI(bytes.NewReader(s.MIDI))
	if err != nil {
		return nil, err
	}
	grid, err := truth.ReadGrid(bytes.NewReader(s.MIDI))
	if err != nil {
		return nil, err
	}
	m, err := hear(ctx, s, folder)
	if err != nil {
		return nil, err
	}
	p := &Piece{Name: s.Name, Half: s.Half(), Grid: grid, Onsets: truth.Onsets(notes), Music: accents.ForReview(m)}
	p.ear = sync.OnceValue(func() *review.Ear { return review.Listen(p.Music) })
	p.Loud = make([]int, len(p.Onsets))
	for _, n := range notes {
		i, found := slices.BinarySearch(p.Onsets, n.At)
		if !found {
			i--
		}
		p.Loud[i] += n.Velocity * n.Velocity
	}
	return p, nil
}

// hear returns the onsets of a piece, from folder if they are there.
func hear(ctx context.Context, s truth.Source, folder string) (*onset.Music, error) {
	kept := filepath.Join(folder, s.Name+".json")
	if b, err := os.ReadFile(kept); err == nil {
		if m, err := onset.Read(bytes.NewReader(b)); err == nil {
			return m, nil
		}
	}
	wav := filepath.Join(folder, s.Name+".wav")
	if _, err := os.Stat(wav); err != nil {
		if err := s.Play(ctx, wav); err != nil {
			return nil, err
		}
		defer os.Remove(wav)
	}
	m, err := onset.Analyse(ctx, wav, func() (io.ReadSeekCloser, error) { return os.Open(wav) }, nil)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := m.Write(&b); err != nil {
		return nil, err
	}
	return m, os.WriteFile(kept, b.Bytes(), 0o600)
}
