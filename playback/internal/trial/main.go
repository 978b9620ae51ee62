// Command trial is a tool that plants faults in cue lists for music rendered from
// MIDI files and prints what the review tells of them, for either half of the
// corpus, and for music that was not heard while the review was made; nothing that is
// shipped imports it.
//
//	go run ./playback/internal/trial -keep /tmp/heard
//
// It needs Debian's packages fluidsynth, fluid-soundfont-gm, timgm6mb-soundfont,
// denemo-data, openttd-openmsx, simutrans-data and freedoom, for the unheard music
// freedink-data and mma, installed or unpacked under -root, and takes what is there of
// them. Every list takes some 60 ms of a processor; -every 3 gives figures that are
// good to a few in a hundred.
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"runtime"
	"time"

	"drylane/playback/internal/planted"
	"drylane/playback/internal/truth"

	"golang.org/x/sync/errgroup"
)

func main() {
	root := flag.String("root", "/", "folder under which the packages lie")
	keep := flag.String("keep", "", "folder that keeps what was heard for the next time")
	half := flag.String("half", "", `"tuned", "held back" or "unheard"; all without`)
	every := flag.Int("every", 1, "of all lists (each plant, kind and size on each piece), take only every nth")
	plant := flag.String("plant", "", "only this one, as the table names it")
	verbose := flag.Bool("v", false, "print every list that something wrong was told of: not of the half held back")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, *root, *keep, truth.Half(*half), *plant, *every, *verbose); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(ctx context.Context, root, keep string, half truth.Half, plant string, every int, verbose bool) error {
	if keep == "" {
		var err error
		if keep, err = os.MkdirTemp("", "heard"); err != nil {
			return err
		}
		defer os.RemoveAll(keep)
	}
	plants := planted.Plants
	if plant != "" {
		plants = []planted.Plant{planted.Plant(plant)}
	}
	pieces, err := prepare(ctx, root, keep, half)
	if err != nil {
		return err
	}
	for _, h := range []truth.Half{truth.Tuned, truth.HeldBack, truth.Unheard} {
		if list := pieces[h]; len(list) > 1 {
			began := time.Now()
			trials := planted.Try(list, plants, planted.Sizes, every)
			fmt.Printf("\n%s: %d pieces, %d lists, %.0f s\n", h, len(list), len(trials), time.Since(began).Seconds())
			if err := planted.Print(os.Stdout, trials); err != nil {
				return err
			}
			if verbose && h == truth.Tuned {
				wrong(trials)
			}
		}
	}
	return nil
}

// prepare listens to the pieces of a half, or to all.
func prepare(ctx context.Context, root, keep string, half truth.Half) (map[truth.Half][]*planted.Piece, error) {
	sources, err := truth.Corpus(root)
	if err != nil {
		return nil, err
	}
	all := make([]*planted.Piece, len(sources))
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i, s := range sources {
		if half == "" || s.Half() == half {
			g.Go(func() (err error) { all[i], err = planted.Prepare(ctx, s, keep); return err })
		}
	}
	if err := g.Wait(); err != nil {
		return nil, err
	}
	out := map[truth.Half][]*planted.Piece{}
	for _, p := range all {
		if p != nil {
			out[p.Half] = append(out[p.Half], p)
		}
	}
	return out, nil
}

func wrong(trials []planted.Trial) {
	for _, t := range trials {
		if !t.Wrong() {
			continue
		}
		fmt.Printf("%s, %s, %d cues on %s, planted %v %s %g:\n", t.Piece, t.Plant, t.Cues, t.Kind, t.Shift, t.Position, t.Slope)
		for _, f := range t.Facts {
			fmt.Printf("  %v %s\n", f.Right, f.Text)
		}
	}
}
