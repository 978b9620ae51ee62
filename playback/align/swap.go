package align

import "math"

// swapped tells whether left and right are exchanged: the side signal, left
// minus right, then changes its sign against the sum.
func (c *comparison) swapped(best *contender, polarity float64) bool {
	hz := c.a.sideHz()
	n := int(c.window * hz)
	wa, wb := make([]float64, n), make([]float64, n)
	// side[k] is the mean over frames k*block .. (k+1)*block-1.
	middleA := float64(c.a.step*sideDecimation-1) / 2 / float64(c.a.rate)
	middleB := float64(c.b.step*sideDecimation-1) / 2 / float64(c.b.rate)
	var cross, ea, eb float64
	for _, i := range best.on {
		first := (best.readings[i].at - c.window/2) - middleA
		readAt(wa, c.a.side, first*hz, 1)
		readAt(wb, c.b.side, (best.at(first+middleA)-middleB)*c.b.sideHz(), best.ratio*c.b.sideHz()/hz)
		for k := range wa {
			cross += wa[k] * wb[k]
			ea += wa[k] * wa[k]
			eb += wb[k] * wb[k]
		}
	}
	return ea > 0 && eb > 0 && polarity*cross < -0.3*math.Sqrt(ea*eb)
}
