package board

import (
	"math/rand/v2"
	"slices"
)

// A Plant is a fault of one device. For Unplanned, Device is the name that the
// device answers to.
type Plant struct {
	Device string `json:"device"`
	Fault  Fault  `json:"fault"`
}

// stream keeps a board's numbers apart from others drawn from its seed.
const stream = 0x626f617264 // "board" in ASCII

// Draw plants up to most faults, each in a device of its own, and every fault as
// likely as another. The same devices and seed give the same plants.
func Draw(devices []Device, seed uint64, most int) []Plant {
	if len(devices) == 0 {
		return nil
	}
	rng := rand.New(rand.NewPCG(seed, stream))
	n := rng.IntN(most + 1)
	order := rng.Perm(len(devices))
	var plants []Plant
	for _, i := range order[:min(n, len(order))] {
		w := devices[i].Want
		kinds := w.canHave()
		f := kinds[rng.IntN(len(kinds))]
		name := w.Name
		if f == Unplanned {
			name = strange(devices)
			if slices.ContainsFunc(plants, func(p Plant) bool { return p.Device == name }) {
				continue
			}
		}
		plants = append(plants, Plant{name, f})
	}
	return plants
}

// canHave are the faults that a device can have so that somebody may see them: other
// content shows only in a hash that is not the recorded one.
func (w Want) canHave() []Fault {
	return slices.DeleteFunc(FaultsOf(w.Kind), func(f Fault) bool { return f == OtherSound && w.SHA256 == "" })
}

// strange is a name that no device of the show has.
func strange(devices []Device) string {
	name := "X9"
	for slices.ContainsFunc(devices, func(d Device) bool { return d.Name == name }) {
		name += "9"
	}
	return name
}
