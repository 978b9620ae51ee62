package drift

import (
	"cmp"
	"math"
	"slices"
	"sort"
	"time"
)

// What the search takes a tap to be, before any tap of this run has told.
const (
	usualScatter = 60 * time.Millisecond // of a tap, standard deviation
	strayTaps    = 0.2                   // the part of taps that belong to nothing
	gridStep     = 20 * time.Millisecond // between shifts tried
	laneReach    = time.Second           // the largest shift of one lane alone
)

// rateDoubt is the log odds against each known kind of wrong rate.
// LaneDoubt is that against one lane standing apart.
const (
	rateDoubt = 7.0
	laneDoubt = 3.0
)

// shiftScale is the scale of the prior on shifts, in seconds: small ones are
// likelier, gently. It decides where the taps leave a tie.
const shiftScale = 2.0

// A search adds up, tap by tap, how well each shift of the cue list explains
// the taps: the log of the chance of each tap's moment as a mixture of all
// accents in reach and a stray tap. It does so for the right rate and for every
// known wrong one. No tap needs to be paired for it, so a dense list does not
// pull the answer to whatever shift was tried first.
type search struct {
	accents []accent
	half    int // the grid is -half..half, in steps of gridStep
	tries   []try
	row     []float64 // of one tap; kept to save allocation
}

// A try holds, for one rate and one taste, the score of every shift. A shift
// is the residual of a cue at the start of the music, positive late; the slope
// is that of the residual along the cue list.
type try struct {
	slope float64
	taste int
	score []nats
}

// nats is a log of a chance as an integer, in units of 2^-32: sums of it do
// not depend on the order of the taps.
type nats int64

const natUnit = 1 << 32

func toNats(f float64) nats { return nats(math.Round(f * natUnit)) }

func newSearch(as []accent, reach time.Duration) *search {
	s := &search{accents: as, half: int(reach / gridStep)}
	s.row = make([]float64, 2*s.half+1)
	slopes := []float64{0}
	for _, m := range mismatches {
		slopes = append(slopes, m.slope())
	}
	for _, slope := range slopes {
		for taste := range tastes {
			s.tries = append(s.tries, try{slope, taste, s.prior(slope)})
		}
	}
	return s
}

// prior is the score of every shift before any tap.
func (s *search) prior(slope float64) []nats {
	score := make([]nats, len(s.row))
	for g := range score {
		score[g] = toNats(-math.Abs(s.shift(g)) / shiftScale)
		if slope != 0 {
			score[g] -= toNats(rateDoubt)
		}
	}
	return score
}

// shift is the shift at place g of the grid, in seconds.
func (s *search) shift(g int) float64 { return float64(g-s.half) * gridStep.Seconds() }

// add counts a tap for the accent of the music at y seconds.
func (s *search) add(y float64, t Tap) {
	for _, r := range s.tries {
		clear(s.row)
		s.spread(y, r.slope, r.taste, func(a accent) bool { return a.takes(t) }, s.row, s.half)
		for g, f := range s.row {
			r.score[g] += mixture(f)
		}
	}
}

// mixture is the log of the chance of a tap, against that of a stray one, where
// accents make it f times as likely.
func mixture(f float64) nats { return toNats(math.Log(strayTaps + (1-strayTaps)*f)) }

// bellSteps is how far a tap's scatter reaches on the grid.
const bellSteps = int(4 * usualScatter / gridStep)

// spread adds to row, a grid of -half..half, the chance density of a tap at y
// under each shift, from the accents that take it. An accent at E is heard at
// E - slope*E - shift.
func (s *search) spread(y, slope float64, taste int, takes func(accent) bool, row []float64, half int) {
	step := gridStep.Seconds()
	reach := float64(half+bellSteps) * step
	from := (y - reach) / (1 - slope)
	lo := sort.Search(len(s.accents), func(k int) bool { return s.accents[k].at.Seconds() >= from })
	for _, a := range s.accents[lo:] {
		centre := a.at.Seconds()*(1-slope) - y
		if centre > reach {
			return
		}
		if !takes(a) {
			continue
		}
		g := int(math.Round(centre/step)) + half
		for i := max(g-bellSteps, 0); i <= min(g+bellSteps, 2*half); i++ {
			row[i] += a.shares[taste] * bell(float64(i-half)*step-centre)
		}
	}
}

// bellTable is the density of a tap's scatter, millisecond by millisecond: the
// search asks for it too often to work it out each time.
var bellTable = func() (t [4*int(usualScatter/time.Millisecond) + 1]float64) {
	for i := range t {
		z := float64(i) / float64(usualScatter/time.Millisecond)
		t[i] = math.Exp(-z*z/2) / (usualScatter.Seconds() * math.Sqrt(2*math.Pi))
	}
	return t
}()

// bell is the density of a tap d seconds off its accent.
func bell(d float64) float64 {
	i := int(math.Abs(d)*1e3 + 0.5)
	if i >= len(bellTable) {
		return 0
	}
	return bellTable[i]
}

// A peak is a shift that explains the taps, with its chance among all shifts
// tried. Shift is in seconds, positive late.
type peak struct {
	slope, shift, chance float64
	taste                int
}

// peaks returns the shifts that explain the taps, likeliest first: the maxima
// of the score, each with the chance of all shifts within a scatter of it.
func (s *search) peaks() []peak {
	top := nats(math.MinInt64)
	for _, r := range s.tries {
		top = max(top, slices.Max(r.score))
	}
	var all float64
	var out []peak
	for _, r := range s.tries {
		chance := make([]float64, len(r.score))
		for g, v := range r.score {
			chance[g] = math.Exp(float64(v-top) / natUnit)
			all += chance[g]
		}
		for _, g := range maxima(chance, int(2*usualScatter/gridStep)) {
			p := peak{slope: r.slope, shift: s.shift(g), taste: r.taste}
			w := int(usualScatter / gridStep)
			for i := max(g-w, 0); i <= min(g+w, len(chance)-1); i++ {
				p.chance += chance[i]
			}
			out = append(out, p)
		}
	}
	for i := range out {
		out[i].chance /= all
	}
	slices.SortStableFunc(out, func(a, b peak) int {
		return cmp.Or(cmp.Compare(b.chance, a.chance), cmp.Compare(math.Abs(a.shift), math.Abs(b.shift)), cmp.Compare(a.shift, b.shift))
	})
	return out
}

// maxima returns the places of x that no other within width exceeds.
func maxima(x []float64, width int) []int {
	var out []int
	for i, v := range x {
		if v <= 0 || len(out) > 0 && i-out[len(out)-1] <= width && x[out[len(out)-1]] == v {
			continue
		}
		if v == slices.Max(x[max(i-width, 0):min(i+width+1, len(x))]) {
			out = append(out, i)
		}
	}
	return out
}

// laneShift returns by how much the lane's own accents stand apart from the
// common shift p, in seconds, positive later than the rest; 0 when the taps,
// at y seconds each, do not call for it.
func (s *search) laneShift(p peak, lane string, lanes int, taps []Tap, y []float64) float64 {
	half := int(laneReach / gridStep)
	own := func(a accent) bool { name, ok := a.lane(); return ok && name == lane }
	score := make([]nats, 2*half+1)
	row := make([]float64, 2*half+1)
	rest := make([]float64, 1)
	for i, t := range taps {
		clear(row)
		clear(rest)
		at := y[i] + p.shift
		s.spread(at, p.slope, p.taste, func(a accent) bool { return own(a) && a.takes(t) }, row, half)
		s.spread(at, p.slope, p.taste, func(a accent) bool { return !own(a) && a.takes(t) }, rest, 0)
		for g := range score {
			score[g] += mixture(rest[0] + row[g])
		}
	}
	best := half
	for g, v := range score {
		if v > score[best] {
			best = g
		}
	}
	doubt := laneDoubt + math.Log(float64(lanes*len(score)))
	if float64(score[best]-score[half])/natUnit < doubt {
		return 0
	}
	return float64(best-half) * gridStep.Seconds()
}
