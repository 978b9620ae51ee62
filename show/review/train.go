package review

import (
	"math"
	"slices"
	"sort"
	"time"
)

const (
	grid  = 4 * time.Millisecond  // between shifts tried
	meets = 50 * time.Millisecond // a cue so near to an accent meets it

	strayCues = 0.25 // the part of the cues that belong to no accent
	// blurred is the part of the cues on an accent that scatter by blur, not
	// by the taste's scatter: accents that set in softly are heard late.
	blurred = 0.2
	blur    = 20 * time.Millisecond
	// around is how far to each side accents are counted for how many there
	// are by chance, and leastCrowd the least of that, in parts of the mean: a
	// lone sound in silence must not count for too much.
	around     = 5 * time.Second
	leastCrowd = 0.3
)

// A train is the music as cues of a taste see it: for each moment the log of how
// much likelier a cue is to be there than at a moment taken by chance.
type train struct {
	accents []Accent
	taste   taste
	worth   []float32 // at multiples of grid
}

// longest is the music that a train covers: what a show may last.
const longest = 24 * time.Hour

// newTrain works out what cues of a taste are worth.
func newTrain(m Music, like taste) *train {
	return logged(m, like, densityOf(m, like))
}

// logged makes a train of a density of cues.
func logged(m Music, like taste, density []float32) *train {
	t := &train{accents: m.Accents, taste: like, worth: density}
	for g, d := range density {
		t.worth[g] = float32(worthOf(float64(d)))
	}
	return t
}

// worthOf is what a cue is worth where there are so many times as many as by chance.
func worthOf(density float64) float64 {
	if density == 0 {
		return stray
	}
	return math.Log(strayCues + (1-strayCues)*density)
}

// densityOf is how much likelier cues of a taste are than by chance, at multiples
// of grid.
func densityOf(m Music, like taste) []float32 {
	end := m.end()
	at := make([]time.Duration, len(m.Accents))
	for i, a := range m.Accents {
		at[i] = a.At
	}
	out := make([]float32, int(end/grid)+2)
	add(out, at, like.draw(m.Accents), end, like)
	return out
}

// end is where the music ends, or its last accent if that lies behind.
func (m Music) end() time.Duration {
	end := m.Length
	if n := len(m.Accents); n > 0 {
		end = max(end, m.Accents[n-1].At)
	}
	return min(end, longest)
}

// add adds the density of cues of a taste about moments, each as likely as its draw.
func add(density []float32, at []time.Duration, draw []float64, end time.Duration, like taste) {
	crowd, bell := crowds(at, draw, end), like.kernel()
	for i, m := range at {
		first := max(0, int((m-meets)/grid))
		last := min(int((m+meets)/grid), len(density)-1)
		weight := draw[i] / crowd[i]
		for g := first; g <= last; g++ {
			off := (time.Duration(g)*grid - m).Abs()
			density[g] += float32(weight * bell[min(off/fine, meets/fine)])
		}
	}
}

// crowds tells how much draw there is in a second about each moment.
func crowds(at []time.Duration, draw []float64, end time.Duration) []float64 {
	total := 0.0
	for _, d := range draw {
		total += d
	}
	least := leastCrowd * total / max(end, grid).Seconds()
	out := make([]float64, len(draw))
	lo, hi, sum := 0, 0, 0.0
	for i, m := range at {
		for ; hi < len(draw) && at[hi] <= m+around; hi++ {
			sum += draw[hi]
		}
		for ; at[lo] < m-around; lo++ {
			sum -= draw[lo]
		}
		out[i] = max(sum/(2*around.Seconds()), least)
	}
	return out
}

// stray is the worth of a cue where there is no accent.
var stray = math.Log(strayCues)

// nearest returns the accent nearest to d of those of at least a strength, and
// whether it is within reach.
func (t *train) nearest(d, reach time.Duration, strength float64) (Accent, bool) {
	var best Accent
	found := false
	for _, a := range t.accents[t.first(d-reach):] {
		if a.At > d+reach {
			break
		}
		if a.Strength >= strength && (!found || (a.At-d).Abs() < (best.At-d).Abs()) {
			best, found = a, true
		}
	}
	return best, found
}

// first is the place of the first accent at d or behind it.
func (t *train) first(d time.Duration) int {
	return sort.Search(len(t.accents), func(i int) bool { return t.accents[i].At >= d })
}

// partner returns the place of the accent that a cue expected at d most likely
// belongs to, -1 for none.
func (t *train) partner(d time.Duration) int {
	from := t.first(d - meets)
	best, worth := -1, 0.0
	for i, a := range t.accents[from:] {
		if a.At > d+meets {
			break
		}
		if w := math.Sqrt(min(a.Strength, 1)) * bell((a.At-d).Seconds(), scatter); w > worth {
			best, worth = from+i, w
		}
	}
	return best
}

// differences are those of the moments that meet an accent at a shift: moment
// less accent, in order of size.
func (t *train) differences(moments []time.Duration, shift time.Duration) []time.Duration {
	var out []time.Duration
	for _, m := range moments {
		if i := t.partner(m - shift); i >= 0 {
			out = append(out, m-t.accents[i].At)
		}
	}
	slices.Sort(out)
	return out
}
