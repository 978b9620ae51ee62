package planted

import (
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"runtime"

	"golang.org/x/sync/errgroup"
)

// Try runs each plant, kind and size on each piece, or every nth of them. What
// a list is decides all its draws, so that it is the same whatever runs beside it.
// There must be two pieces at least: one is the other music for the next.
func Try(pieces []*Piece, plants []Plant, sizes []int, every int) []Trial {
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	all := make([][]Trial, len(pieces))
	for i, p := range pieces {
		g.Go(func() error {
			at := i
			for _, plant := range plants {
				for _, kind := range Kinds {
					for _, n := range sizes {
						at++
						if at%every == 0 {
							other := pieces[(i+1+at%(len(pieces)-1))%len(pieces)]
							all[i] = append(all[i], p.Run(seeded(p.Name, plant, kind, n), plant, kind, n, other))
						}
					}
				}
			}
			return nil
		})
	}
	_ = g.Wait()
	var out []Trial
	for _, list := range all {
		out = append(out, list...)
	}
	return out
}

func seeded(what ...any) *rand.Rand {
	h := fnv.New64a()
	fmt.Fprint(h, what...)
	return rand.New(rand.NewPCG(h.Sum64(), 1))
}
