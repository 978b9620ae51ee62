package locate

import (
	"cmp"
	"math"
	"slices"

	"drylane/playback/internal/dsp"
)

// A Place is where a block may lie in the music.
type Place struct {
	// At is where in the music the block's first sample lies, in seconds; below 0 for a
	// block that begins before the music.
	At float64
	// Score is how far the correlation there stands out of what chance gives: its height
	// over the root mean square. For sound that has nothing of the music it is
	// distributed about as Rayleigh's, P(Score > s) = exp(-s*s) at one of Rate/2 places
	// a second, so that the best of an hour is at 4; of whole blocks of the music, by
	// their share in the sound, up to 150.
	Score float64
}

// A Span is a stretch of the music in which blocks are looked for, in seconds. The zero
// Span is all of it.
type Span struct{ From, To float64 }

// All is the whole of the music.
var All = Span{math.Inf(-1), math.Inf(1)}

// MostPlaces is how many places a lookup gives at the most.
const MostPlaces = 16

const (
	// leastScore is from where on a place is given: below it there are any number.
	leastScore = 4.0
	// apartSamples is how near, in samples, places are the same one: 50 ms.
	apartSamples = Rate / 20
	// blockEdge is over how many samples a block comes in and goes out. An edge would be
	// taken for that of a window, where the music hardly changes.
	blockEdge = Rate / 20
	// spacing is that of the places which are tried, in samples.
	spacing = windowLength / (windowLength / 2)
)

// A Finder looks blocks up. It belongs to one goroutine.
type Finder struct {
	music  *Music
	t      *dsp.Transform
	block  []float64
	bins   []complex128 // of the block, whitened, from bin 0 on; below lo none
	lo     int
	norm   float64 // the root mean square of the correlation
	found  []Place
	levels []float64
}

// NewFinder makes one.
func NewFinder(m *Music) *Finder {
	lo, hi := bins(windowLength)
	return &Finder{music: m, t: dsp.NewTransform(windowLength), block: make([]float64, windowLength), bins: make([]complex128, hi), lo: lo,
		found: make([]Place, 0, 4*MostPlaces)}
}

// Find looks a block up, at most BlockLength long, and returns the places at which it may
// begin, the best one first; none for a block of silence. What it returns holds until the
// next call. It takes about 0.6 s of one core for an hour of music.
func (f *Finder) Find(block []float32, where Span) []Place {
	f.found = f.found[:0]
	if !f.take(block) {
		return nil
	}
	for w, s := range f.music.windows {
		from := float64((w-1)*BlockLength) / Rate
		if s != nil && from+float64(BlockLength)/Rate >= where.From && from <= where.To {
			f.inWindow(s, (w-1)*BlockLength, where)
		}
	}
	f.sift()
	return f.found
}

// take makes the block's spectrum ready, and reports whether there is any sound.
func (f *Finder) take(block []float32) bool {
	block = block[:min(len(block), BlockLength)]
	clear(f.block)
	for i, v := range block {
		f.block[i] = float64(v)
	}
	if f.levels = Limit(f.block[:len(block)], f.levels); dsp.RMS(f.block) == 0 {
		return false
	}
	dsp.Edges(f.block[:len(block)], blockEdge)
	f.t.Spectrum(f.bins, f.block)
	f.norm = math.Sqrt(float64(whiten(f.bins[f.lo:])))
	return f.norm > 0
}

// inWindow correlates the block with a window that begins at a sample.
func (f *Finder) inWindow(s spectrum, from int, where Span) {
	corr := f.t.Complex(func(x []complex128) { f.cross(x, s) })
	floor := leastScore * f.norm
	least := floor * floor
	for j := 0; j <= BlockLength/spacing; j++ {
		p := power(corr[j])
		if p < least || j > 0 && power(corr[j-1]) > p || power(corr[j+1]) >= p {
			continue
		}
		at := float64(from+j*spacing) / Rate
		if at < where.From || at > where.To {
			continue
		}
		shift, height := vertex(power(corr[max(0, j-1)]), p, power(corr[j+1]))
		f.keep(Place{At: at + shift*spacing/Rate, Score: height / f.norm})
	}
}

// cross puts the cross spectrum into x, turned about so that a forward transform does
// for the way back: of the result only the lengths are wanted.
func (f *Finder) cross(x []complex128, s spectrum) {
	clear(x[:f.lo])
	clear(x[f.lo+len(s):])
	bins := f.bins[f.lo:][:len(s)]
	for k, c := range s {
		re, im := float64(c[0])/127, float64(c[1])/127
		b := bins[k]
		x[f.lo+k] = complex(re*real(b)+im*imag(b), re*imag(b)-im*real(b))
	}
}

// vertex places a maximum of a correlation between samples, and tells its height, by the
// parabola through the squares of three of them.
func vertex(l, c, h float64) (shift, height float64) {
	if curve := l - 2*c + h; curve < 0 {
		shift = max(-0.5, min(0.5, (l-h)/(2*curve)))
		c -= (l - h) * shift / 4
	}
	return shift, math.Sqrt(c)
}

// keep adds a place, or lets it take that of a worse one nearby.
func (f *Finder) keep(p Place) {
	for i, o := range f.found {
		if math.Abs(o.At-p.At) < apartSamples/float64(Rate) {
			if p.Score > o.Score {
				f.found[i] = p
			}
			return
		}
	}
	if len(f.found) == cap(f.found) {
		f.sift()
	}
	f.found = append(f.found, p)
}

// sift keeps the best places, in order.
func (f *Finder) sift() {
	slices.SortFunc(f.found, func(a, b Place) int { return cmp.Compare(b.Score, a.Score) })
	f.found = f.found[:min(len(f.found), MostPlaces)]
}
