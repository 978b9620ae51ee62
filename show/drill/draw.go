package drill

import (
	"math/bits"
	"math/rand/v2"
	"slices"
	"time"

	"drylane/show/board"
)

// An Exercise is a drill with nothing left to chance.
type Exercise struct {
	Drill *Drill
	Seed  uint64
	// Plants are those that are there, each with one Late and one Grow.
	Plants []Plant
	// Steps are those that will come if what they wait for does, in the order
	// of the file. From and To of each are the same.
	Steps []Step
	// Board are the faults in the field that are there.
	Board []board.Plant
}

// stream keeps an exercise's numbers apart from others drawn from its seed.
const stream = 0x6472696c6c // "drill" in ASCII

// Draw settles what the drill leaves to chance. The same file and seed give
// the same exercise on every machine. Every plant takes three draws and every
// step two, whether or not it comes, so that one chance never moves another.
func (d *Drill) Draw(seed uint64) *Exercise {
	x := &Exercise{Drill: d, Seed: seed}
	draw := drawer{rand.NewPCG(seed, stream)}
	for _, p := range d.Plants {
		there := draw.chance(p.Chance)
		p.Late, p.Grow, p.Chance = draw.one(p.Late), draw.one(p.Grow), 1
		if there {
			x.Plants = append(x.Plants, p)
		}
	}
	for _, s := range d.Steps {
		there := draw.chance(s.Chance)
		at := draw.between(s.When.From, s.When.To)
		s.When.From, s.When.To, s.Chance = at, at, 1
		if there {
			x.Steps = append(x.Steps, s)
		}
	}
	x.Board = d.drawBoard(draw)
	x.dropOrphans()
	return x
}

// dropOrphans takes out the steps that wait for a step that will not come.
func (x *Exercise) dropOrphans() {
	drawn := map[string]bool{}
	for _, s := range x.Steps {
		drawn[s.Name] = true
	}
	for gone := true; gone; {
		n := len(x.Steps)
		x.Steps = slices.DeleteFunc(x.Steps, func(s Step) bool {
			after := s.When.After
			if after == "" || slices.Contains(traineeWords, after) || drawn[after] {
				return false
			}
			delete(drawn, s.Name)
			return true
		})
		gone = len(x.Steps) < n
	}
}

// A drawer makes numbers from the generator's bits alone: what the library's
// own helpers make of them may differ from one machine or version to another.
type drawer struct{ source *rand.PCG }

// below draws a whole number from 0 to n-1. With 64 bits for a few thousand
// outcomes no draw needs to be thrown away.
func (d drawer) below(n int) int {
	hi, _ := bits.Mul64(d.source.Uint64(), uint64(n))
	return int(hi)
}

// chance draws true with probability p.
func (d drawer) chance(p float64) bool {
	return float64(d.source.Uint64()>>11) < p*(1<<53)
}

// one draws one of the times, none from none.
func (d drawer) one(times []time.Duration) []time.Duration {
	i := d.below(max(1, len(times)))
	if len(times) == 0 {
		return nil
	}
	return times[i : i+1 : i+1]
}

// between draws a whole millisecond between from and to, both included.
func (d drawer) between(from, to time.Duration) time.Duration {
	return from + time.Duration(d.below(int((to-from)/time.Millisecond)+1))*time.Millisecond
}
