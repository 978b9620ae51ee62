package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"time"

	"drylane/playback"
	"drylane/playback/internal/truth"
	"drylane/playback/onset"
)

// A result is one line of the table.
type result struct {
	name   string
	ours   truth.Score
	method string
	best   truth.Score
	level  float64 // the most by which F differs in a softer file
	tempo  float64
}

func evaluate(ctx context.Context, p play, folder string) (*result, error) {
	piece, err := p(ctx, folder)
	if err != nil {
		return nil, err
	}
	defer os.Remove(piece.WAV)
	r := &result{name: piece.Name}
	for _, dB := range []float64{0, -10, -20, -30} {
		m, err := hear(ctx, piece.WAV, dB)
		if err != nil {
			return nil, err
		}
		var found []time.Duration
		for _, a := range m.Accents {
			found = append(found, a.At.At(m.Rate))
		}
		s := truth.Match(piece.Onsets, found, truth.Window)
		if dB == 0 {
			r.ours, r.tempo = s, m.Tempo
		}
		r.level = max(r.level, math.Abs(s.F()-r.ours.F()))
	}
	r.method, r.best, err = truth.BestAubio(ctx, piece)
	return r, err
}

// hear finds the onsets in a WAV file as if it had been made softer, in 16 bits.
func hear(ctx context.Context, path string, dB float64) (*onset.Music, error) {
	s, err := playback.OpenFile(path)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	d := onset.NewDetector(s.Rate())
	defer d.Close()
	gain := math.Pow(10, dB/20)
	frames := make([][2]float64, 1<<14)
	for {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		n, ok := s.Stream(frames)
		if !ok {
			return d.Music(), s.Err()
		}
		for i := range frames[:n] {
			for c, v := range frames[i] {
				frames[i][c] = math.Round(v*gain*(1<<15)) / (1 << 15)
			}
		}
		d.Add(frames[:n])
	}
}

// far is how much lower F may be than that of aubio's best method on any piece.
const far = 0.03

// table prints the results of a set, and their means.
func table(w io.Writer, name string, results []*result) error {
	fmt.Fprintf(w, "%-44s %6s %6s %6s %6s  %6s %-8s %6s %6s\n", name, "onsets", "F", "prec", "rec", "aubio", "best by", "level", "tempo")
	var ours, best, level float64
	below, farBelow := 0, 0
	for _, r := range results {
		mark := ""
		switch d := r.ours.F() - r.best.F(); {
		case d < -far:
			mark, below, farBelow = "far below", below+1, farBelow+1
		case d < 0:
			mark, below = "below", below+1
		}
		fmt.Fprintf(w, "%-44s %6d %6.3f %6.3f %6.3f  %6.3f %-8s %6.4f %6.1f %s\n", r.name, r.ours.True, r.ours.F(), r.ours.Precision(), r.ours.Recall(), r.best.F(), r.method, r.level, r.tempo, mark)
		ours, best, level = ours+r.ours.F(), best+r.best.F(), max(level, r.level)
	}
	n := float64(max(1, len(results)))
	_, err := fmt.Fprintf(w, "%-44s %6d %6.3f %6s %6s  %6.3f %8s %6.4f, below on %d, far below on %d\n\n", "mean of", len(results), ours/n, "", "", best/n, "at most", level, below, farBelow)
	return err
}
