package board

import (
	"math/rand/v2"
	"slices"
)

// A Plant is a fault of one device. For Unplanned, Device is the name that the
// device answers to.
type Plant struct {
	Device string
	Fault  Fault
}

// stream keeps a board's numbers apart from others drawn from its seed.
const stream = 0x626f617264 // "board" in ASCII

// Draw plants up to most faults, each in a device of its own, and every fault as
// likely as another. The same wants and seed give the same plants.
func Draw(wants []Want, seed uint64, most int) []Plant {
	if len(wants) == 0 {
		return nil
	}
	rng := rand.New(rand.NewPCG(seed, stream))
	n := rng.IntN(most + 1)
	order := rng.Perm(len(wants))
	var plants []Plant
	for _, i := range order[:min(n, len(order))] {
		w := wants[i]
		kinds := FaultsOf(w.Kind)
		f := kinds[rng.IntN(len(kinds))]
		name := w.Name
		if f == Unplanned {
			name = strange(wants)
			if slices.ContainsFunc(plants, func(p Plant) bool { return p.Device == name }) {
				continue
			}
		}
		plants = append(plants, Plant{name, f})
	}
	return plants
}

// strange is a name that no device of the show has.
func strange(wants []Want) string {
	name := "X9"
	for slices.ContainsFunc(wants, func(w Want) bool { return w.Name == name }) {
		name += "9"
	}
	return name
}
