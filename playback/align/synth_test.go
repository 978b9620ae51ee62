package align

import (
	"math"
	"math/rand/v2"
	"sync"

	"github.com/faiface/beep"
)

// A score is how to synthesise a piece of test music. The instruments and the
// noise of the drums are the same in every piece, which is the hard case.
type score struct {
	seed    uint64
	rate    int
	seconds float64
	bpm     float64
	// sameBeat takes the drum pattern from no seed: it is the same in every
	// piece of one tempo, sample for sample.
	sameBeat bool
	// loop repeats the first so many beats for ever; 0 for a piece that goes on.
	loop int
	// drums is the level of the drums, 1 if 0.
	drums float64
}

// music is a decoded soundtrack in memory.
type music struct {
	rate   int
	frames [][2]float64
}

// audio returns m as an Audio, reading a few frames at a time.
func (m music) audio() Audio {
	return Source{StreamSeeker: &memory{frames: m.frames}, SampleRate: m.rate}
}

// memory streams frames from memory.
type memory struct {
	frames [][2]float64
	pos    int
	most   int   // frames given at once; 0 for as many as are asked
	err    error // met at the end
}

var _ beep.StreamSeeker = (*memory)(nil)

func (m *memory) Stream(out [][2]float64) (int, bool) {
	if m.most > 0 && len(out) > m.most {
		out = out[:m.most]
	}
	n := copy(out, m.frames[m.pos:])
	m.pos += n
	return n, n > 0
}
func (m *memory) Err() error       { return m.err }
func (m *memory) Len() int         { return len(m.frames) }
func (m *memory) Position() int    { return m.pos }
func (m *memory) Seek(p int) error { m.pos = p; return nil }

// band plays the notes; it caches what each instrument sounds like.
type band struct {
	mu    sync.Mutex
	rate  float64
	notes map[[3]int][]float64
	kit   [3][]float64
}

var allBands sync.Map // of *band, by rate

// bandAt returns the one band at a rate, for the sake of its cache.
func bandAt(rate int) *band {
	b, ok := allBands.Load(rate)
	if !ok {
		b, _ = allBands.LoadOrStore(rate, newBand(rate))
	}
	return b.(*band)
}

func newBand(rate int) *band {
	b := &band{rate: float64(rate), notes: map[[3]int][]float64{}}
	noise := rand.New(rand.NewPCG(7, 7))
	b.kit[0] = b.shape(0.25, func(t float64) float64 {
		return math.Exp(-t*14) * math.Sin(2*math.Pi*(48*t+5*(1-math.Exp(-t*30))))
	})
	b.kit[1] = b.shape(0.2, func(t float64) float64 {
		return math.Exp(-t*20) * (0.5*math.Sin(2*math.Pi*190*t) + 0.4*noise.NormFloat64())
	})
	last := 0.0
	b.kit[2] = b.shape(0.08, func(t float64) float64 {
		n := noise.NormFloat64()
		v := (n - last) * math.Exp(-t*60) * 0.25
		last = n
		return v
	})
	return b
}

func (b *band) shape(seconds float64, f func(t float64) float64) []float64 {
	out := make([]float64, int(seconds*b.rate))
	for i := range out {
		out[i] = f(float64(i) / b.rate)
	}
	return out
}

// takes is in how many ways an instrument plays a note: its partials meet at
// other phases each time, as those of a player or a free-running oscillator do.
const takes = 8

// note is MIDI note n on instrument kind: 0 bass, 1 pad, 2 pluck.
func (b *band) note(kind, n, take int) []float64 {
	key := [3]int{kind, n, take}
	if b.notes[key] == nil {
		hz := 440 * math.Pow(2, float64(n-69)/12)
		length, decay := [3]float64{0.5, 2, 0.6}[kind], [3]float64{3, 0.5, 6}[kind]
		rnd := rand.New(rand.NewPCG(uint64(1000*kind+n), uint64(take)))
		var phase [9]float64
		for h := range phase {
			phase[h] = 2 * math.Pi * rnd.Float64()
		}
		b.notes[key] = b.shape(length, func(t float64) float64 {
			v := 0.0
			for h := 1.0; h <= 8 && h*hz < b.rate/2.2; h++ {
				v += math.Sin(2*math.Pi*h*hz*t+phase[int(h)]) / h * math.Exp(-t*decay*(0.5+h/4))
			}
			return v * min(1, t*100, (length-t)*50)
		})
	}
	return b.notes[key]
}

// compose synthesises a piece.
func compose(s score) music {
	b := bandAt(s.rate)
	b.mu.Lock()
	defer b.mu.Unlock()
	out := make([][2]float64, int(s.seconds*float64(s.rate)))
	add := func(at float64, sound []float64, left, right float64) {
		for i, v := range sound {
			if j := int(at*b.rate+0.5) + i; j < len(out) {
				out[j][0] += left * v
				out[j][1] += right * v
			}
		}
	}
	beat := 60 / s.bpm
	beats := int(s.seconds/beat) + 1
	for k := range beats {
		bar := k
		if s.loop > 0 {
			bar = k % s.loop
		}
		s.playBeat(b, bar, func(at float64, sound []float64, l, r float64) {
			add((float64(k)+at)*beat, sound, l, r)
		})
	}
	return music{s.rate, out}
}

// playBeat plays beat k, at places given in beats. What it plays depends on
// the seed and k alone.
func (s score) playBeat(b *band, k int, add func(at float64, sound []float64, l, r float64)) {
	rnd := rand.New(rand.NewPCG(s.seed, uint64(k)))
	drum := rnd
	if s.sameBeat {
		drum = rand.New(rand.NewPCG(1, uint64(k%16)))
	}
	level := s.drums
	if level == 0 {
		level = 1
	}
	if k%2 == 0 || drum.IntN(3) == 0 {
		add(0, b.kit[0], 0.5*level, 0.5*level)
	}
	if k%2 == 1 || drum.IntN(6) == 0 {
		add(0, b.kit[1], 0.2*level, 0.25*level)
	}
	for h := range 4 {
		if drum.IntN(3) > 0 {
			add(float64(h)/4, b.kit[2], 0.2*level, 0.1*level)
		}
	}
	scale := []int{0, 2, 4, 5, 7, 9, 11}
	play := func(at float64, kind, n int, left, right float64) {
		v := 0.6 + 0.4*rnd.Float64()
		add(at, b.note(kind, n, rnd.IntN(takes)), v*left, v*right)
	}
	if k%4 == 0 {
		root := scale[rnd.IntN(6)]
		for i, third := range []int{0, 4, 7} {
			play(0, 1, 60+root+third, 0.05+0.02*float64(i), 0.09-0.02*float64(i))
		}
		play(0, 0, 36+root, 0.2, 0.2)
		play(2, 0, 36+root, 0.2, 0.2)
	}
	for h := range 4 {
		if rnd.IntN(2) == 0 {
			play(float64(h)/4, 2, 72+scale[rnd.IntN(7)]+12*rnd.IntN(2), 0.14, 0.07)
		}
	}
}

// resampled reads m at frames start, start+step, ...: a slow, exact reader of
// 2*half+1 taps that the package does not share.
func resampled(m music, start, step float64, n int) music {
	const half = 40
	cut := min(1, 1/step)
	out := music{m.rate, make([][2]float64, n)}
	for k := range n {
		pos := start + step*float64(k)
		c := int(math.Floor(pos))
		// sin(pi*cut*(x+1)) from one tap to the next by rotation.
		var l, r float64
		for j := c - half; j <= c+half; j++ {
			if j < 0 || j >= len(m.frames) {
				continue
			}
			x := pos - float64(j)
			w := cut
			if y := math.Pi * cut * x; y != 0 {
				w = cut * math.Sin(y) / y
			}
			w *= 0.5 + 0.5*math.Cos(math.Pi*x/(half+1))
			l += w * m.frames[j][0]
			r += w * m.frames[j][1]
		}
		out.frames[k] = [2]float64{l, r}
	}
	return out
}

// mapped applies f to every frame of a copy of m.
func (m music) mapped(f func(i int, v [2]float64) [2]float64) music {
	out := music{m.rate, make([][2]float64, len(m.frames))}
	for i, v := range m.frames {
		out.frames[i] = f(i, v)
	}
	return out
}

// cut returns frames from..to, with silence where m has none.
func (m music) cut(from, to int) music {
	out := music{m.rate, make([][2]float64, to-from)}
	for i := range out.frames {
		if j := from + i; j >= 0 && j < len(m.frames) {
			out.frames[i] = m.frames[j]
		}
	}
	return out
}
