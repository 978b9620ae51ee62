package phrase

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// A second method for where music changes, written from its published definition and
// sharing nothing with the package: J. Foote, "Automatic audio segmentation using a
// measure of audio novelty", ICME 2000. What sounds on each beat is 12 pitch classes, each
// the energy at its semitones by Goertzel's sums; beats are compared by the cosine; and
// along the diagonal of that matrix a checkerboard with a Gaussian taper is correlated.

// checker is the half of the kernel's width in beats, and nearBeats how near to a peak no
// other is taken.
const (
	checker   = 16
	nearBeats = 16
)

// pitchClasses is the energy of a stretch of sound at the semitones from C2 on, by class.
func pitchClasses(sound [][2]float64) (classes [12]float64) {
	const every = 4 // frames taken as one: no semitone of interest is above 2 kHz
	x := make([]float64, len(sound)/every)
	for i := range x {
		for _, f := range sound[i*every : (i+1)*every] {
			x[i] += f[0] + f[1]
		}
	}
	for k := range 5 * 12 {
		hz := 65.406 * math.Exp2(float64(k)/12)
		turn := 2 * math.Cos(2*math.Pi*hz*every/rate)
		var a, b float64
		for _, v := range x {
			a, b = v+turn*a-b, a
		}
		classes[k%12] += math.Sqrt(max(0, a*a+b*b-turn*a*b))
	}
	return classes
}

func cosine(a, b [12]float64) float64 {
	var ab, aa, bb float64
	for k := range a {
		ab, aa, bb = ab+a[k]*b[k], aa+a[k]*a[k], bb+b[k]*b[k]
	}
	return ab / math.Sqrt(aa*bb+1e-12)
}

// footeNovelty is the novelty of each beat.
func (m *made) footeNovelty() []float64 {
	var beats [][12]float64
	for at := 0; at+m.beat <= len(m.sound); at += m.beat {
		beats = append(beats, pitchClasses(m.sound[at:at+m.beat]))
	}
	nov := make([]float64, len(beats))
	for i := checker; i+checker <= len(beats); i++ {
		for r := -checker; r < checker; r++ {
			for c := -checker; c < checker; c++ {
				u, v := (float64(r)+0.5)/checker, (float64(c)+0.5)/checker
				w := math.Exp(-4 * (u*u + v*v))
				if (r < 0) != (c < 0) {
					w = -w
				}
				nov[i] += w * cosine(beats[i+r], beats[i+c])
			}
		}
	}
	return nov
}

// footeChanges are the n highest peaks of the novelty, no two within nearBeats, as beats in
// order.
func (m *made) footeChanges(n int) (list []int) {
	nov := m.footeNovelty()
	for range n {
		best := -1
		for i, x := range nov {
			free := !slices.ContainsFunc(list, func(k int) bool { return max(k-i, i-k) < nearBeats })
			if free && x > 0 && (best < 0 || x > nov[best]) {
				best = i
			}
		}
		if best >= 0 {
			list = append(list, best)
		}
	}
	slices.Sort(list)
	return list
}

// TestSecondMethod: on pieces rendered with known bars the listener and the second method,
// which is told how many changes there are, find every change of section at its beat, or
// at most a beat off. What else the listener takes for a change is a turn of the chords
// within a section: always the beginning of a bar, and one in five at most.
func TestSecondMethod(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	pieces := 3
	if testing.Short() {
		pieces = 1
	}
	ours, theirs, all, more := 0, 0, 0, 0
	for range pieces {
		meter := 3 + rng.IntN(2)
		var parts []int
		for range 3 + rng.IntN(2) {
			parts = append(parts, 8+4*rng.IntN(3))
		}
		m, changes := piece(meter, float64(90+rng.IntN(60)), parts...)
		changes = changes[1:]
		var got []int
		for _, x := range m.listen().Changes(m.beats()) {
			got = append(got, int(x.At)/m.beat)
		}
		second := m.footeChanges(len(changes))
		t.Logf("bars of %d, sections of %v bars: the listener has beats %v, the second method %v", meter, parts, got, second)
		all += len(changes)
		for _, at := range changes {
			ours += count(near(got, int(at)/m.beat))
			theirs += count(near(second, int(at)/m.beat))
		}
		for _, b := range got {
			if near(second, b) {
				continue
			}
			if more++; b%meter != 0 {
				t.Errorf("beat %d is no change, and begins no bar of %d", b, meter)
			}
		}
	}
	t.Logf("of %d changes of section the listener has %d and the second method %d; the listener has %d more", all, ours, theirs, more)
	if ours != all || theirs != all || 5*more > all+more {
		t.Errorf("of %d changes the listener has %d, the second method %d; %d more of the listener's are none", all, ours, theirs, more)
	}
}

// near reports whether one of the beats is b, or the one before or after it.
func near(beats []int, b int) bool {
	return slices.ContainsFunc(beats, func(x int) bool { return max(x-b, b-x) <= 1 })
}

func count(yes bool) int {
	if yes {
		return 1
	}
	return 0
}
