// Package outdoors makes of music what a microphone takes down of it at some distance:
// with the sound of a place, noise, bangs, the band of a telephone and a clock of its
// own; and reads the sound files that such tests begin with. It is for tests, and shares
// nothing with what they test.
package outdoors

import (
	"math"
	"math/rand/v2"
)

// A Scene is how music is taken down.
type Scene struct {
	Seed  uint64
	Room  bool    // reverberation of 0.25 s, as strong as the direct sound, and a slap after 180 ms
	Noise bool    // there is some, SNR below the music
	SNR   float64 // dB, of the music in all its length
	Bangs float64 // a second on average, each 8 times the music's level at first
	Phone bool    // 300 to 3400 Hz alone
	PPM   float64 // by which the recorder's clock is fast: it takes more samples
	Gain  float64 // 0: 1
}

// Take records music of one channel at a rate. Sample 0 is recorded as sample 0.
func (s Scene) Take(music []float64, rate int) []float64 {
	rnd := rand.New(rand.NewPCG(s.Seed, 0x0a1e))
	level := rms(music)
	out := music
	if s.Room {
		out = room(out, rate, rnd)
	}
	if s.PPM != 0 {
		out = stretched(out, 1+s.PPM*1e-6)
	} else {
		out = append([]float64(nil), out...)
	}
	if s.Phone {
		out = phone(out, rate)
	}
	if s.Noise {
		s.addNoise(out, rate, rnd)
	}
	s.addBangs(out, level, rate, rnd)
	if s.Gain != 0 {
		for i := range out {
			out[i] *= s.Gain
		}
	}
	return out
}

func rms(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return math.Sqrt(sum / float64(max(1, len(x))))
}

// room adds 60 reflections whose strength falls by 60 dB within a quarter of a second,
// and one from a wall 30 m away.
func room(x []float64, rate int, rnd *rand.Rand) []float64 {
	const echoes, decay = 60, 0.25
	delay, gain := make([]int, 0, echoes+1), make([]float64, 0, echoes+1)
	sum := 0.0
	for range echoes {
		t := 0.004 + (decay-0.004)*rnd.Float64()
		g := math.Pow(10, -3*t/decay) * rnd.NormFloat64()
		delay, gain = append(delay, int(t*float64(rate))), append(gain, g)
		sum += g * g
	}
	for i := range gain {
		gain[i] /= math.Sqrt(sum)
	}
	delay, gain = append(delay, int(0.180*float64(rate))), append(gain, 0.5)
	out := append([]float64(nil), x...)
	for k, d := range delay {
		g := gain[k]
		for i := d; i < len(x); i++ {
			out[i] += g * x[i-d]
		}
	}
	return out
}

// stretched takes ratio times as many samples of x, by cubics through four of them.
func stretched(x []float64, ratio float64) []float64 {
	out := make([]float64, int(float64(len(x))*ratio))
	for n := range out {
		at := float64(n) / ratio
		i := int(at)
		if i < 1 || i+2 >= len(x) {
			continue
		}
		t := at - float64(i)
		a, b, c, d := x[i-1], x[i], x[i+1], x[i+2]
		out[n] = b + 0.5*t*(c-a+t*(2*a-5*b+4*c-d+t*(3*(b-c)+d-a)))
	}
	return out
}

// phone is two high-pass and two low-pass filters of first order, twice over.
func phone(x []float64, rate int) []float64 {
	for range 2 {
		a := math.Exp(-2 * math.Pi * 300 / float64(rate))
		b := math.Exp(-2 * math.Pi * 3400 / float64(rate))
		var low, smooth float64
		out := make([]float64, len(x))
		for i, v := range x {
			low = a*low + (1-a)*v
			smooth = b*smooth + (1-b)*(v-low)
			out[i] = smooth
		}
		x = out
	}
	return x
}

// addNoise adds noise between white and pink, in the band of what is there.
func (s Scene) addNoise(x []float64, rate int, rnd *rand.Rand) {
	noise := make([]float64, len(x))
	slow := 0.0
	for i := range noise {
		v := rnd.NormFloat64()
		slow = 0.95*slow + 0.3*v
		noise[i] = slow + 0.3*v
	}
	if s.Phone {
		noise = phone(noise, rate)
	}
	g := rms(x) / rms(noise) * math.Pow(10, -s.SNR/20)
	for i := range x {
		x[i] += g * noise[i]
	}
}

func (s Scene) addBangs(x []float64, level float64, rate int, rnd *rand.Rand) {
	for n := int(s.Bangs * float64(len(x)) / float64(rate)); n > 0; n-- {
		Bang(x[rnd.IntN(len(x)):], 8*level, rate, rnd)
	}
}

// Bang adds a bang to the start of x: noise of a level that falls by 60 dB in 0.7 s.
func Bang(x []float64, level float64, rate int, rnd *rand.Rand) {
	last := 0.0
	for i := range x[:min(len(x), rate*7/10)] {
		t := float64(i) / float64(rate)
		last = 0.6*last + 0.8*rnd.NormFloat64()
		x[i] += level * last * math.Pow(10, -3*t/0.7)
	}
}

// Stereo has x on both sides.
func Stereo(x []float64) [][2]float64 {
	out := make([][2]float64, len(x))
	for i, v := range x {
		out[i] = [2]float64{v, v}
	}
	return out
}

// Mono is the mean of both sides.
func Mono(x [][2]float64) []float64 {
	out := make([]float64, len(x))
	for i, f := range x {
		out[i] = (f[0] + f[1]) / 2
	}
	return out
}
