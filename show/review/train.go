package review

import (
	"math"
	"sort"
	"time"
)

const (
	grid    = 5 * time.Millisecond  // between shifts tried
	scatter = 15 * time.Millisecond // of a cue about its accent, standard deviation
	meets   = 50 * time.Millisecond // a cue so near to an accent meets it

	strayCues = 0.25 // the part of the cues that belong to no accent
	// around is how far to each side accents are counted for how many there
	// are by chance, and leastCrowd the least of that, in parts of the mean: a
	// lone sound in silence is no wonder.
	around     = 5 * time.Second
	leastCrowd = 0.3
)

// tastes are the ways to choose accents to put cues on, as the power of the
// strength: 0 takes any, 2 what stands out. The cues tell which.
var tastes = [...]float64{0, 1, 2, 4}

// A train is the music as cues see it: for each taste and each moment the log
// of how much likelier a cue is to be there than at a moment taken by chance.
type train struct {
	accents []Accent
	taste   int                    // in use
	worth   [len(tastes)][]float32 // at multiples of grid
}

// longest is the music that a train covers: what a show may last.
const longest = 24 * time.Hour

func newTrain(m Music) *train {
	t := &train{accents: m.Accents}
	end := min(m.Length, longest)
	if n := len(m.Accents); n > 0 {
		end = min(max(end, m.Accents[n-1].At), longest)
	}
	for k := range tastes {
		t.worth[k] = t.forTaste(tastes[k], int(end/grid)+2)
	}
	return t
}

// forTaste works out n values of worth.
func (t *train) forTaste(power float64, n int) []float32 {
	draw := make([]float64, len(t.accents)) // of each accent
	total := 0.0
	for i, a := range t.accents {
		draw[i] = math.Pow(min(max(a.Strength, 0.02), 2), power)
		total += draw[i]
	}
	mean := total / (float64(n) * grid.Seconds()) // a second
	density := make([]float64, n)
	lo, hi, sum := 0, 0, 0.0
	for i, a := range t.accents {
		for ; hi < len(draw) && t.accents[hi].At <= a.At+around; hi++ {
			sum += draw[hi]
		}
		for ; t.accents[lo].At < a.At-around; lo++ {
			sum -= draw[lo]
		}
		crowd := max(sum/(2*around.Seconds()), leastCrowd*mean)
		for g := max(0, int((a.At-meets)/grid)); g <= int((a.At+meets)/grid) && g < n; g++ {
			density[g] += draw[i] / crowd * bell((time.Duration(g)*grid - a.At).Seconds())
		}
	}
	worth := make([]float32, n)
	for g, d := range density {
		worth[g] = float32(math.Log(strayCues + (1-strayCues)*d))
	}
	return worth
}

// bell is the density of the scatter d seconds off.
func bell(d float64) float64 {
	z := d / scatter.Seconds()
	return math.Exp(-z*z/2) / (scatter.Seconds() * math.Sqrt(2*math.Pi))
}

// stray is the worth of a cue where there is no accent.
var stray = math.Log(strayCues)

// at is what a cue at d is worth, in nats.
func (t *train) at(d time.Duration) float64 {
	i := int((d + grid/2) / grid)
	if d < 0 || i >= len(t.worth[t.taste]) {
		return stray
	}
	return float64(t.worth[t.taste][i])
}

// nearest returns the accent nearest to d of those of at least a strength, and
// whether it is within reach.
func (t *train) nearest(d, reach time.Duration, strength float64) (Accent, bool) {
	from := sort.Search(len(t.accents), func(i int) bool { return t.accents[i].At >= d-reach })
	var best Accent
	found := false
	for _, a := range t.accents[from:] {
		if a.At > d+reach {
			break
		}
		if a.Strength >= strength && (!found || (a.At-d).Abs() < (best.At-d).Abs()) {
			best, found = a, true
		}
	}
	return best, found
}

// partner returns the accent that a cue expected at d most likely belongs to.
func (t *train) partner(d time.Duration) (Accent, bool) {
	from := sort.Search(len(t.accents), func(i int) bool { return t.accents[i].At >= d-meets })
	best, worth := Accent{}, 0.0
	for _, a := range t.accents[from:] {
		if a.At > d+meets {
			break
		}
		if w := math.Sqrt(min(a.Strength, 1)) * bell((a.At - d).Seconds()); w > worth {
			best, worth = a, w
		}
	}
	return best, worth > 0
}
