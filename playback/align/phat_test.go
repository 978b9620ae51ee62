package align

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
	"pgregory.net/rapid"
)

func noise(seed uint64, n int) []float64 {
	rnd := rand.New(rand.NewPCG(seed, 0))
	x := make([]float64, n)
	for i := range x {
		x[i] = rnd.NormFloat64()
	}
	return x
}

// delayed returns x delayed by d samples, exact for any d, by turning the
// phases of its spectrum (and so circular).
func delayed(x []float64, d float64) []float64 {
	fft := fourier.NewFFT(len(x))
	f := fft.Coefficients(nil, x)
	for k := range f[:len(f)-1] {
		a := -2 * math.Pi * float64(k) * d / float64(len(x))
		f[k] *= complex(math.Cos(a), math.Sin(a))
	}
	y := fft.Sequence(nil, f)
	for i := range y {
		y[i] /= float64(len(x))
	}
	return y
}

// The sign follows Knapp and Carter's generalised cross-correlation as it is
// commonly coded: x1 a copy of x2 that is d samples late gives +d.
func TestPhatPlantedDelays(t *testing.T) {
	t.Parallel()
	const n = 8192
	for _, d := range []float64{-200, -5, -0.5, 0, 0.25, 0.5, 1, 10.5, 37.125, 199} {
		for _, sign := range []float64{1, -1} {
			x := noise(1, n)
			y := delayed(x, d)
			w := hann(n)
			for i := range x {
				x[i] *= w[i]
				y[i] *= w[i] * sign
			}
			p := newPhat(n, 300)
			p.correlate(y, x, 10, n*2/5)
			lag, value := p.peak(300)
			if math.Abs(lag-d) > 0.01 || math.Signbit(value) != math.Signbit(sign) {
				t.Errorf("delay %v, sign %v: found %v, value %v", d, sign, lag, value)
			}
		}
	}
}

// A burst of noise and a copy 4800 samples late under as much noise again: the
// delay is found to the sample.
func TestPhatUnderNoise(t *testing.T) {
	t.Parallel()
	const n, d = 48000, 4800
	burst := noise(2, n-d)
	x1, x2 := noise(3, n), make([]float64, n)
	copy(x2, burst)
	for i, v := range burst {
		x1[d+i] += v
	}
	p := newPhat(n, n)
	p.correlate(x1, x2, 1, n)
	if lag, _ := p.peak(n - 1); math.Abs(lag-d) > 1 {
		t.Errorf("found %v, want %v within 1", lag, d)
	}
}

// Reading between samples, against the spectrum of the signal itself.
func TestReadAtIsADelay(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		const n = 512
		hz := rapid.Float64Range(0.001, 0.4).Draw(t, "cycles a sample")
		start := rapid.Float64Range(-5, 60).Draw(t, "start")
		step := rapid.Float64Range(0.9, 1.1).Draw(t, "step")
		src := make([]float32, n)
		for i := range src {
			src[i] = float32(math.Sin(2 * math.Pi * hz * float64(i)))
		}
		out := make([]float64, 400)
		readAt(out, src, start, step)
		for i, v := range out {
			pos := start + float64(i)*step
			if pos < 16 || pos > n-16 {
				continue
			}
			// 1/1024 of a sample of jitter at 0.4 cycles a sample is 0.0025.
			if want := math.Sin(2 * math.Pi * hz * pos); math.Abs(v-want) > 0.006 {
				t.Fatalf("at %v: %v, want %v", pos, v, want)
			}
		}
	})
}

// A tone keeps its place and level through the decimator, and what lies above
// the new band does not come back into it.
func TestDecimator(t *testing.T) {
	t.Parallel()
	for _, step := range []int{1, 2, 3, 4, 9, 19} {
		for _, c := range []struct {
			cycles float64
			passes bool
		}{{0.05, true}, {0.3, true}, {0.62, false}, {0.9, false}} {
			f := c.cycles / float64(step)
			if f > 0.45 {
				continue
			}
			in := make([]float64, 3000*step)
			for i := range in {
				in[i] = math.Sin(2 * math.Pi * f * float64(i))
			}
			d := newDecimator(step)
			for len(in) > 0 {
				n := min(len(in), 479)
				d.push(in[:n])
				in = in[n:]
			}
			d.flush()
			if len(d.out) != 3000 {
				t.Fatalf("step %d: %d samples, want 3000", step, len(d.out))
			}
			worst := 0.0
			for k := 50; k < 2950; k++ {
				want := math.Sin(2 * math.Pi * c.cycles * float64(k))
				if !c.passes {
					want = 0
				}
				worst = max(worst, math.Abs(float64(d.out[k])-want))
			}
			if worst > 0.003 {
				t.Errorf("step %d, %v of the new rate: off by %.4f", step, c.cycles, worst)
			}
		}
	}
}
