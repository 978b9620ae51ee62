// Command evaluate is a tool that measures the onset detector beside aubio's on
// music rendered from MIDI files, and prints a table; nothing that is shipped
// imports it.
//
//	go run ./playback/internal/evaluate
//	go run ./playback/internal/evaluate -root DIR
//	go run ./playback/internal/evaluate -packaged
//
// It takes the corpus of package truth, as far as its packages are installed or lie
// unpacked in a folder: first the half that the detector was tuned by, then the one
// that was held back. With -packaged it takes every piece of openttd-openmsx.
//
// It needs Debian's packages fluidsynth and aubio-tools besides. An onset is found
// if an answer lies within 50 ms of it, one to one; the truth is where notes begin,
// merged within 30 ms. For aubio the best of all its methods on that very piece, at
// its default threshold, is shown. The last but one column is by how much F differs
// at most when the file is 10, 20 or 30 dB softer, in 16 bits.
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"runtime"

	"drylane/playback/internal/truth"

	"golang.org/x/sync/errgroup"
)

func main() {
	root := flag.String("root", "/", "the `folder` in which the packages lie")
	packaged := flag.Bool("packaged", false, "take every piece of openttd-openmsx")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	sets, err := corpus(*root)
	if *packaged {
		sets, err = openmsx()
	}
	if err == nil {
		err = run(ctx, sets)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// A set is pieces that a table is printed of.
type set struct {
	name   string
	pieces []play
}

// A play renders a piece into a folder.
type play func(ctx context.Context, folder string) (*truth.Piece, error)

func run(ctx context.Context, sets []set) error {
	folder, err := os.MkdirTemp("", "onsets")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	for _, s := range sets {
		results := make([]*result, len(s.pieces))
		g, ctx := errgroup.WithContext(ctx)
		g.SetLimit(runtime.GOMAXPROCS(0))
		for i, p := range s.pieces {
			g.Go(func() (err error) {
				results[i], err = evaluate(ctx, p, folder)
				return err
			})
		}
		if err := g.Wait(); err != nil {
			return err
		}
		if err := table(os.Stdout, s.name, results); err != nil {
			return err
		}
	}
	return nil
}
