// Command evaluate is a tool that holds the onset detector against aubio's on
// music rendered from MIDI files, and prints a table; nothing that is shipped
// imports it.
//
//	go run ./playback/internal/evaluate
//	go run ./playback/internal/evaluate -all
//
// It takes every third piece of the package in order of name, with -all every
// piece, which takes three times as long.
//
// It needs Debian's packages fluidsynth, timgm6mb-soundfont, openttd-openmsx
// and aubio-tools. An onset is found if an answer lies within 50 ms of it, one
// to one; the truth is where notes begin, merged within 30 ms. For aubio the
// best of all its methods on that very piece is shown.
package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime"
	"time"

	"drylane/playback/internal/truth"
	"drylane/playback/onset"

	"golang.org/x/sync/errgroup"
)

func main() {
	all := flag.Bool("all", false, "take every piece")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, os.Stdout, *all); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// A result is one line of the table.
type result struct {
	name   string
	ours   truth.Score
	method string
	best   truth.Score
	tempo  float64
}

func run(ctx context.Context, w io.Writer, all bool) error {
	list, err := truth.Pieces()
	if err != nil {
		return err
	}
	folder, err := os.MkdirTemp("", "onsets")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	results := make([]*result, len(list))
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i, path := range list {
		if !all && i%3 != 0 {
			continue
		}
		g.Go(func() error {
			r, err := evaluate(ctx, path, folder)
			results[i] = r
			return err
		})
	}
	if err := g.Wait(); err != nil {
		return err
	}
	return table(w, results)
}

func evaluate(ctx context.Context, path, folder string) (*result, error) {
	p, err := truth.Render(ctx, path, folder)
	if err != nil {
		return nil, err
	}
	defer os.Remove(p.WAV)
	m, err := onset.Analyse(ctx, p.WAV, func() (io.ReadSeekCloser, error) { return os.Open(p.WAV) }, nil)
	if err != nil {
		return nil, err
	}
	var found []time.Duration
	for _, a := range m.Accents {
		found = append(found, a.At.At(m.Rate))
	}
	r := &result{name: p.Name, ours: truth.Match(p.Onsets, found, truth.Window), tempo: m.Tempo}
	r.method, r.best, err = truth.BestAubio(ctx, p)
	return r, err
}

// table prints the results that there are, and their means.
func table(w io.Writer, results []*result) error {
	fmt.Fprintf(w, "%-24s %6s %6s %6s %6s  %6s %-8s %6s\n", "piece", "onsets", "F", "prec", "rec", "aubio", "best by", "tempo")
	var n, ours, best float64
	below := 0
	for _, r := range results {
		if r == nil {
			continue
		}
		mark := ""
		if r.ours.F() < r.best.F() {
			below++
			mark = "below"
		}
		fmt.Fprintf(w, "%-24s %6d %6.3f %6.3f %6.3f  %6.3f %-8s %6.1f %s\n", r.name, r.ours.True, r.ours.F(), r.ours.Precision(), r.ours.Recall(), r.best.F(), r.method, r.tempo, mark)
		n, ours, best = n+1, ours+r.ours.F(), best+r.best.F()
	}
	_, err := fmt.Fprintf(w, "%-24s %6.0f %6.3f %6s %6s  %6.3f, below on %d\n", "mean of", n, ours/n, "", "", best/n, below)
	return err
}
