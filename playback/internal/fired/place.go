package fired

import (
	"math"

	"drylane/show"
)

// A place is metres ahead of the main audience, to its right and up.
type place struct{ ahead, right, up float64 }

func at(metres, bearing, up float64) place {
	sin, cos := math.Sincos(bearing * math.Pi / 180)
	return place{metres * cos, metres * sin, up}
}

func (p place) to(q place) float64 {
	return math.Sqrt((p.ahead-q.ahead)*(p.ahead-q.ahead) + (p.right-q.right)*(p.right-q.right) + (p.up-q.up)*(p.up-q.up))
}

// standing is where a position's devices stand.
func (n *Night) standing(name string) place {
	for _, p := range n.show.Positions {
		if p.Name == name {
			return at(p.Distance, p.Bearing, 0)
		}
	}
	panic("no such position: " + name)
}

// breaks is where a shell breaks: as high as is told of its size, more or less, and
// blown aside.
func (n *Night) breaks(c show.Cue) place {
	if _, ok := n.talls[c.Caliber]; !ok {
		n.talls[c.Caliber] = math.Exp(0.05 * n.rand.NormFloat64())
	}
	p := n.standing(c.Position)
	p.up = c.Caliber / 25.4 * 30.48 * n.tall * n.talls[c.Caliber] * math.Exp(0.04*n.rand.NormFloat64())
	p.ahead += 0.04 * p.up * n.rand.NormFloat64()
	p.right += 0.04 * p.up * n.rand.NormFloat64()
	return p
}
