package drift

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// A model is where each accent of the cue list is expected in the music.
type model struct {
	shift, slope float64            // of the residual, seconds and seconds a second
	lane         map[string]float64 // extra shift of a lane's own accents
	taste        int
}

// residual is what the model expects of the accent, in seconds.
func (m model) residual(a accent) float64 {
	r := m.shift + m.slope*a.at.Seconds()
	if name, ok := a.lane(); ok {
		r += m.lane[name]
	}
	return r
}

// A placed accent is one where the model expects it in the music, in seconds,
// with its share for the model's taste.
type placed struct {
	*accent
	at, share float64
}

// place returns all accents in the order that the model expects them.
func (m model) place(as []accent) []placed {
	out := make([]placed, len(as))
	for i := range as {
		out[i] = placed{&as[i], as[i].at.Seconds() - m.residual(as[i]), as[i].shares[m.taste]}
	}
	slices.SortStableFunc(out, func(a, b placed) int { return cmp.Compare(a.at, b.at) })
	return out
}

// A fitted model with the taps that it was fitted to.
type fitted struct {
	model
	sigma float64 // scatter of a tap, in seconds
	taps  []Tap   // by time
	y     []float64
	mates []*placed // of each tap; nil for none

	pairs     []Pair
	weighings []*weighing // of each pair
}

const (
	gateScatters = 4.5   // how far a tap may lie from where its accent is expected
	leastScatter = 25e-3 // that is believed, in seconds
	mostScatter  = 150e-3
	// usualTaps is what the usual scatter counts for against the one seen: the
	// scatter of a dozen taps is a poor guide by itself, and one taken too
	// small drops good taps.
	usualTaps = 10
)

// believed weighs the scatter seen in n taps against the usual one.
func believed(seen float64, n int) float64 {
	u, w := usualScatter.Seconds(), float64(n)
	return min(math.Sqrt((usualTaps*u*u+w*seen*seen)/(usualTaps+w)), mostScatter)
}

// sureness is the confidence asked before saying that the rate is wrong.
const sureness = 0.999

// refine pairs taps and accents under the model, mends the model by the pairs,
// and pairs again.
func (f *fitted) refine(as []accent) {
	f.sigma = usualScatter.Seconds()
	for range 3 {
		f.pairUp(f.place(as))
		x, dev := f.deviations()
		if len(dev) < MinTaps {
			return
		}
		if b := theilSen(x, dev, sureness); b.level > 0 && (b.low > 0 || b.high < 0) {
			f.slope += b.centre
			f.shift -= b.centre * median(x)
		}
		f.shift += median(dev)
		f.sigma = believed(scaledMAD(dev), len(dev))
	}
}

// pairUp finds the taps' mates among the accents.
func (f *fitted) pairUp(expected []placed) {
	f.mates = make([]*placed, len(f.taps))
	for i, k := range pairUp(f.y, expected, f.taps, f.sigma) {
		if k >= 0 {
			f.mates[i] = &expected[k]
		}
	}
}

// deviations returns the effect times of the mates and how much their residuals
// exceed the model's, both in seconds.
func (f *fitted) deviations() (x, dev []float64) {
	for i, p := range f.mates {
		if p != nil {
			x = append(x, p.accent.at.Seconds())
			dev = append(dev, p.accent.at.Seconds()-f.y[i]-f.residual(*p.accent))
		}
	}
	return x, dev
}

// keep turns mates into pairs. Order holds the place of each tap as given.
func (f *fitted) keep(as []accent, cfg Config, order []int) {
	expected := f.place(as)
	_, dev := f.deviations()
	far := outliers(dev)
	for i, p := range f.mates {
		if p == nil {
			continue
		}
		t := f.taps[i]
		f.pairs = append(f.pairs, Pair{
			Tap: order[i], Cues: p.cues, At: p.accent.at,
			Residual: p.accent.at - cfg.accentAt(t),
			Outlier:  far[len(f.pairs)],
			Unclear:  !f.clear(expected, p.accent, t, f.y[i]),
		})
		f.weighings = append(f.weighings, weigh(f.y[i], t, expected))
	}
}

// clearness is how likely a pair must be to be counted.
const clearness = 0.5

// clear reports whether the accent explains the tap at y better than all
// others and a stray tap together.
func (f *fitted) clear(expected []placed, mate *accent, t Tap, y float64) bool {
	all, own := strayTaps/(1-strayTaps), 0.0
	for _, p := range within(expected, y, 6*f.sigma) {
		if !p.takes(t) {
			continue
		}
		z := (p.accent.at.Seconds() - f.residual(*p.accent) - y) / f.sigma
		c := p.share * math.Exp(-z*z/2) / (f.sigma * math.Sqrt(2*math.Pi))
		all += c
		if p.accent == mate {
			own = c
		}
	}
	return own >= clearness*all
}

// within returns the accents expected no further than reach from y.
func within(expected []placed, y, reach float64) []placed {
	lo, _ := slices.BinarySearchFunc(expected, y-reach, func(p placed, t float64) int { return cmp.Compare(p.at, t) })
	hi := lo
	for hi < len(expected) && expected[hi].at <= y+reach {
		hi++
	}
	return expected[lo:hi]
}

// outlierScore is the deviation, in scaled MADs, beyond which a value is an
// outlier. Iglewicz and Hoaglin, 1993, as in the NIST/SEMATECH handbook,
// section 1.3.5.17.
const outlierScore = 3.5

// outliers marks the deviations that are too far from their middle.
func outliers(dev []float64) []bool {
	mid, sd := median(dev), max(scaledMAD(dev), leastScatter)
	out := make([]bool, len(dev))
	for i, d := range dev {
		out[i] = math.Abs(d-mid) > outlierScore*sd
	}
	return out
}

// sortTaps returns the taps by time with their places as given, and the moments
// of the music they are for, in seconds.
func sortTaps(given []Tap, cfg Config) (order []int, taps []Tap, y []float64) {
	order = make([]int, len(given))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		s, t := given[i], given[j]
		return cmp.Or(cmp.Compare(s.Heard, t.Heard), cmp.Compare(s.Lane, t.Lane))
	})
	for _, k := range order {
		taps = append(taps, given[k])
		y = append(y, cfg.accentAt(given[k]).Seconds())
	}
	return order, taps, y
}

// accentSpan is the first and the last accent that is paired.
func accentSpan(pairs []Pair) (from, to time.Duration) {
	for i, p := range pairs {
		if i == 0 {
			from, to = p.At, p.At
		}
		from, to = min(from, p.At), max(to, p.At)
	}
	return from, to
}
