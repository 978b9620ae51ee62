package align

import "math"

// swapped tells whether left and right are exchanged: the side signal, left
// minus right, then changes its sign against the sum.
func (c *comparison) swapped(best *contender, polarity float64) bool {
	var cross, ea, eb float64
	c.eachSide(best, func(a, b [2]float64) {
		sa, sb := a[0]-a[1], b[0]-b[1]
		cross += sa * sb
		ea += sa * sa
		eb += sb * sb
	})
	return ea > 0 && eb > 0 && polarity*cross < -0.3*math.Sqrt(ea*eb)
}

// deafness is the ratio of powers, -50 dB, below which one side of a file is
// missing beside the other.
const deafness = 1e-5

// missing tells which sides are in one of the files alone, "left", "right" or "":
// of a those that a lacks, and of b those that b lacks.
func (c *comparison) missing(best *contender) (a, b string) {
	var pa, pb [2]float64
	c.eachSide(best, func(a, b [2]float64) {
		for ch := range 2 {
			pa[ch] += a[ch] * a[ch]
			pb[ch] += b[ch] * b[ch]
		}
	})
	da, db := deaf(pa), deaf(pb)
	if da != db {
		return da, db
	}
	return "", ""
}

const (
	// alikeSides is the correlation of A's sides from which B's one signal does not
	// tell which of them it is.
	alikeSides = 0.9
	// oneSideLeft is how much of the other side may be in it, as a ratio.
	oneSideLeft = 0.1
)

// oneSide tells which side of A alone is in a B of one signal: "left", "right", or
// "" where it is both, or B has two. What each side gives to the signal is found by
// least squares.
func (c *comparison) oneSide(best *contender) string {
	if !c.b.oneSided() {
		return ""
	}
	var ll, rr, lr, bl, br float64
	c.eachSide(best, func(a, b [2]float64) {
		sum := b[0] + b[1]
		ll += a[0] * a[0]
		rr += a[1] * a[1]
		lr += a[0] * a[1]
		bl += sum * a[0]
		br += sum * a[1]
	})
	if math.Abs(lr) > alikeSides*math.Sqrt(ll*rr) || ll == 0 || rr == 0 {
		return ""
	}
	left, right := math.Abs(bl*rr-br*lr), math.Abs(br*ll-bl*lr)
	switch {
	case right < oneSideLeft*left:
		return "left"
	case left < oneSideLeft*right:
		return "right"
	}
	return ""
}

// deaf is the side that is silent while the other is not.
func deaf(power [2]float64) string {
	switch {
	case power[0] < deafness*power[1]:
		return "left"
	case power[1] < deafness*power[0]:
		return "right"
	}
	return ""
}

// eachSide calls fn with the sides of a and b at the same moments, all through the
// windows on the line.
func (c *comparison) eachSide(best *contender, fn func(a, b [2]float64)) {
	hz := c.a.sideHz()
	n := int(c.window * hz)
	var wa, wb [2][]float64
	for ch := range 2 {
		wa[ch], wb[ch] = make([]float64, n), make([]float64, n)
	}
	// sides[k] is the mean over frames k*block .. (k+1)*block-1.
	middleA := float64(c.a.step*sideDecimation-1) / 2 / float64(c.a.rate)
	middleB := float64(c.b.step*sideDecimation-1) / 2 / float64(c.b.rate)
	for _, i := range best.on {
		first := (best.readings[i].at - c.window/2) - middleA
		for ch := range 2 {
			readAt(wa[ch], c.a.sides[ch], first*hz, 1)
			readAt(wb[ch], c.b.sides[ch], (best.at(first+middleA)-middleB)*c.b.sideHz(), best.ratio*c.b.sideHz()/hz)
		}
		for k := range n {
			fn([2]float64{wa[0][k], wa[1][k]}, [2]float64{wb[0][k], wb[1][k]})
		}
	}
}
