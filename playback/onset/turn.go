package onset

import "math"

// What sounds at a moment is compared over so many values, 0.2 s, behind it with as
// many before it, but for so few, 20 ms, next to it: there it is the onset itself that
// sounds. From 0.15 to 0.3 s tells places of a beat from others much alike, 0.2 s best.
const (
	turnOver = 20
	turnSkip = 2
	// turnAhead is how many values behind the one told of are needed.
	turnAhead = turnOver + turnSkip - 1
)

// A turner tells by how much what sounds behind a moment is another sound than before
// it, however loud either is: chords and basses change on the beat and hardly beside
// it, whatever is struck there. It is 1 less the cosine between the two sounds, as is
// done for chords (J. Foote, "Automatic audio segmentation using a measure of audio
// novelty", ICME 2000).
type turner struct {
	from, to      int // bands
	root          bool
	after, before []float64                            // sums
	ring          [2 * (turnOver + turnSkip)][]float64 // the newest values
	taken         int
}

// newTurner compares the bands whose peak lies from lo to hi, in Hz; of their
// magnitudes, or of the roots of these, which gives soft voices a say.
func newTurner(bands []band, binHz, lo, hi float64, root bool) *turner {
	t := &turner{root: root}
	for _, b := range bands {
		if peak := float64(b.first+len(b.weights)/2) * binHz; peak < lo {
			t.from++
			t.to++
		} else if peak <= hi {
			t.to++
		}
	}
	n := t.to - t.from
	t.after, t.before = make([]float64, n), make([]float64, n)
	for i := range t.ring {
		t.ring[i] = make([]float64, n)
	}
	return t
}

// reset forgets what was taken.
func (t *turner) reset() {
	t.taken = 0
	clear(t.after)
	clear(t.before)
	for _, v := range t.ring {
		clear(v)
	}
}

// take takes the magnitudes of all bands in the next window.
func (t *turner) take(magnitudes []float64) {
	at := func(back int) []float64 { return t.ring[(t.taken+len(t.ring)-back)%len(t.ring)] }
	leaves, enters, gone := at(turnOver), at(turnOver+2*turnSkip), at(len(t.ring))
	for i, v := range magnitudes[t.from:t.to] {
		if t.root {
			v = math.Sqrt(v)
		}
		t.after[i] += v - leaves[i]
		t.before[i] += enters[i] - gone[i]
		gone[i] = v // its place in the ring is that of the newest
	}
	t.taken++
}

// turn is that at the moment turnAhead values before the newest, 0 to 1.
func (t *turner) turn() float32 {
	const silent = 1e-12 // less than rounding leaves in the sums
	var both, after, before float64
	for i, v := range t.after {
		w := t.before[i]
		both, after, before = both+v*w, after+v*v, before+w*w
	}
	if max(after, before) < silent {
		return 0
	}
	return float32(max(0, 1-both/(math.Sqrt(after*before)+silent)))
}
