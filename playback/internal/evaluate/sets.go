package main

import (
	"bytes"
	"context"
	"fmt"
	"path/filepath"

	"drylane/playback/internal/truth"
)

// corpus returns the two halves of the corpus under root.
func corpus(root string) ([]set, error) {
	sources, err := truth.Corpus(root)
	if err != nil {
		return nil, err
	}
	sets := []set{{name: string(truth.Tuned)}, {name: string(truth.HeldBack)}}
	for _, s := range sources {
		i := 0
		switch s.Half() {
		case truth.HeldBack:
			i = 1
		case truth.Unheard:
			continue
		}
		sets[i].pieces = append(sets[i].pieces, func(ctx context.Context, folder string) (*truth.Piece, error) {
			notes, err := truth.ReadMIDI(bytes.NewReader(s.MIDI))
			if err != nil {
				return nil, fmt.Errorf("%s: %w", s.Name, err)
			}
			p := &truth.Piece{Name: s.Name, WAV: filepath.Join(folder, s.Name+".wav"), Notes: notes, Onsets: truth.Onsets(notes)}
			return p, s.Play(ctx, p.WAV)
		})
	}
	return sets, nil
}

// openmsx returns every piece of openttd-openmsx, with the sound font that tests use.
func openmsx() ([]set, error) {
	paths, err := truth.Pieces()
	if err != nil {
		return nil, err
	}
	s := set{name: "openttd-openmsx"}
	for _, path := range paths {
		s.pieces = append(s.pieces, func(ctx context.Context, folder string) (*truth.Piece, error) { return truth.Render(ctx, path, folder) })
	}
	return []set{s}, nil
}
