package loudness

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// A part is a stretch of a test signal: the same sine on both channels.
type part struct {
	seconds float64
	peakDB  float64 // peak level of each channel, in dBFS
}

var silence = math.Inf(-1)

// sines returns the parts one after the other, the sine running on through.
func sines(rate, hz int, parts ...part) [][2]float64 {
	second := make([]float64, rate)
	for i := range second {
		second[i] = math.Sin(2 * math.Pi * float64(hz*i%rate) / float64(rate))
	}
	total := 0.0
	for _, p := range parts {
		total += p.seconds
	}
	frames := make([][2]float64, 0, int(math.Round(total*float64(rate))))
	end := 0.0
	for _, p := range parts {
		end += p.seconds
		amplitude := math.Pow(10, p.peakDB/20)
		for len(frames) < int(math.Round(end*float64(rate))) {
			v := amplitude * second[len(frames)%rate]
			frames = append(frames, [2]float64{v, v})
		}
	}
	return frames
}

// repeated returns the parts n times over.
func repeated(n int, parts ...part) []part {
	var all []part
	for range n {
		all = append(all, parts...)
	}
	return all
}

// music returns seconds of something with the traits of produced music that
// meters differ on: chords of many partials across the stereo field, drums
// with steep attacks, hiss, quiet and loud sections, and a limiter that leaves
// the loudest section flat against full scale.
func music(rate int, seconds float64, seed uint64) [][2]float64 {
	r := rand.New(rand.NewPCG(seed, 1))
	sections := []float64{-26, -14, -3, -34, -8, 5} // dB
	beat := rate * 60 / 128
	frames := make([][2]float64, int(seconds*float64(rate)))
	var voices [4]voice
	var hit, colour float64
	for i := range frames {
		if i%(4*beat) == 0 {
			for v := range voices {
				voices[v] = newVoice(r, rate)
			}
		}
		if i%beat == 0 {
			hit = 1
		}
		hit *= 1 - 12/float64(rate)
		noise := r.NormFloat64()
		colour += 0.3 * (noise - colour)
		thump := hit * math.Sin(300*hit)
		left, right := 0.6*thump+0.1*hit*hit*noise, 0.6*thump+0.1*hit*hit*colour
		for v := range voices {
			s := voices[v].next()
			left += s * (1 - voices[v].pan)
			right += s * voices[v].pan
		}
		at := i * len(sections) / len(frames)
		gain := math.Pow(10, sections[at]/20)
		frames[i] = [2]float64{limit(gain * left), limit(gain * right)}
	}
	return frames
}

// A voice is one note of a chord: a sawtooth built from its partials.
type voice struct {
	pan      float64
	partials []partial
}

// A partial turns by step each frame; its imaginary part sounds.
type partial struct{ now, step complex128 }

func newVoice(r *rand.Rand, rate int) voice {
	hz := 110 * math.Pow(2, float64(r.IntN(36))/12)
	v := voice{pan: r.Float64()}
	for n := 1.0; n < 12 && n*hz < 0.4*float64(rate); n++ {
		v.partials = append(v.partials, partial{
			now:  cmplx.Rect(0.3/n, 2*math.Pi*r.Float64()),
			step: cmplx.Rect(1, 2*math.Pi*n*hz/float64(rate)),
		})
	}
	return v
}

func (v *voice) next() float64 {
	s := 0.0
	for n := range v.partials {
		p := &v.partials[n]
		s += imag(p.now)
		p.now *= p.step
	}
	return s
}

func limit(v float64) float64 { return max(-1, min(1, v)) }

// measured returns the result of a whole signal.
func measured(t testing.TB, rate, channels int, o Options, frames [][2]float64) Result {
	t.Helper()
	m, err := New(rate, channels, o)
	if err != nil {
		t.Fatal(err)
	}
	m.Write(frames)
	return m.Result()
}

// near fails the test unless got is within tolerance of want.
func near[L ~float64](t rapid.TB, what string, got L, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(float64(got)-want) <= tolerance) {
		t.Errorf("%s is %.4f, wanted %.4f within %g", what, float64(got), want, tolerance)
	}
}
