package review

import (
	"math"
	"time"
)

// What is known of a shift before the music is heard.
//
// A list is made by ear or by a grid that lies on the music, so that most lists are
// where they should be. What goes wrong with the others is small: an effect time
// without its prefire, silence that a coder or a converter put before the music, a
// picture's frame, a person's habit of marking late, a move by a tenth the wrong way.
// One tenth of a second is about as likely as two, three are rare, and from there on
// it falls fast. By a beat or a bar a list is wrong only if somebody counted wrong,
// and then it would be heard on the first run; lists that are off by seconds were made
// for another cut of the music.
//
// One position is wrong by the same: tenths up to three, beats hardly ever.
//
// No counts of real lists are published. The figures are therefore set so that in
// music with a beat of half a second a shift of 0.18 s is taken for what it is rather
// than for one of 0.32 s the other way, at 300 to 1, where the music itself tells
// nothing; that it is not taken for one of 0.07 s on the half beat before, or the other
// way round, but by what is heard; and that only evidence that does not repeat can move
// a list by beats. A larger shift by tenths is told where the music tells it, and is
// else one of several that are named.
type prior struct {
	inPlace float64       // the part that is where it should be, ...
	near    time.Duration // ... to within so much, a standard deviation
	tenths  time.Duration // where what is wrong by tenths has fallen to 1/e
	far     float64       // the part that may be wrong by anything within Reach
}

var (
	ofList     = prior{inPlace: 0.5, near: 15 * time.Millisecond, tenths: 200 * time.Millisecond, far: 0.003}
	ofPosition = prior{inPlace: 0.9, near: 20 * time.Millisecond, tenths: 300 * time.Millisecond, far: 0.0003}
	ofSection  = prior{inPlace: 0.97, near: 20 * time.Millisecond, tenths: 250 * time.Millisecond, far: 0.001}
)

// log is the log of the density of a shift, a second.
func (p prior) log(shift time.Duration) float64 {
	s := shift.Seconds()
	return math.Log(p.inPlace*bell(s, p.near) + (1-p.inPlace-p.far)*flat(s, p.tenths.Seconds()) + p.far/(2*Reach).Seconds())
}

// flat is a density that is nearly level about 0, 1/e of that at edge, and falls fast
// behind it: that of exp(-x^4).
func flat(x, edge float64) float64 {
	return math.Exp(-math.Pow(x/edge, 4)) / (2 * edge * math.Gamma(1.25))
}
