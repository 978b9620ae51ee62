package fired

import (
	"math"
	"sync"

	"drylane/playback/internal/dsp"
	"drylane/show"
)

// after is how long a recorder runs on.
const after = 8.0 // s

// Record is what a recorder has taken in of the night, from -1 to 1. music is that of
// the show, at Rate.
func (n *Night) Record(music []float64) []float64 {
	start := max(0, n.Offset) + 1 // seconds of silence ahead of the night's first
	held := 0.0
	for _, h := range n.Holds {
		held += h.Length.Seconds()
	}
	size := int((start + n.length + held + after) * Rate)
	heard := make([]float64, size)
	first := n.play(heard, music, start)
	quiet := rms(heard)
	bangs := make([]float64, size)
	for i, c := range n.show.Cues {
		n.sound(bangs, i, c, start)
	}
	for i := range n.Heard {
		n.Heard[i].At = n.Offset + (n.Heard[i].At-first)*(1+n.PPM*1e-6)
	}
	hall := echoes(n.rand, n.Echo)
	heard = convolve(heard, hall)
	field := convolve(bangs, echoes(n.rand, n.Echo))
	gust, people := wind(n.rand, size), crowd(n.rand, size, n.Applause)
	for i := range heard {
		heard[i] += quiet * (n.Bangs*field[i] + n.Wind*gust[i] + n.Crowd*people[i])
	}
	return clip(n.clocked(heard, start+first), n.Clip)
}

// play has the loudspeakers play the music, and returns when the first of it comes, in
// seconds of the night.
func (n *Night) play(dst, music []float64, start float64) (first float64) {
	first = math.Inf(1)
	for _, s := range n.show.Speakers {
		d := n.mic.to(at(s.Distance, s.Bearing, 3))
		way := d/n.c + s.Delay.Seconds()
		first = min(first, way)
		from, held := 0.0, 0.0
		for _, h := range append(n.Holds, Hold{At: seconds(n.length)}) {
			to := h.At.Seconds()
			part := append([]float64(nil), music[int(from*Rate):min(int(to*Rate), len(music))]...)
			throughAir(part, d)
			add(dst, part, start+way+from+held, 1/d)
			from, held = float64(int(to*Rate))/Rate, held+h.Length.Seconds()
		}
	}
	return first
}

// sound adds what is heard of cue i, if it was fired.
func (n *Night) sound(dst []float64, i int, c show.Cue, start float64) {
	fired := n.Fired[i]
	if math.IsNaN(fired) {
		return
	}
	ground := n.standing(c.Position)
	hear := func(from place, size, when, loud float64, main bool) {
		d := n.mic.to(from)
		x := n.charge(size, d)
		add(dst, x, start+when+d/n.c, loud)
		n.Heard = append(n.Heard, Sound{i, when + d/n.c, n.Bangs * loud * dsp.Peak(x), main})
	}
	lift := func() { hear(ground, c.Caliber, fired-c.Prefire.Seconds(), 0.12, false) }
	switch c.Family {
	case show.FamilyShell:
		lift()
		hear(n.breaks(c), c.Caliber, fired, 1, true)
	case show.FamilySalute:
		lift()
		hear(n.breaks(c), 2*c.Caliber, fired, 1, true)
	case show.FamilyMine, show.FamilyOther:
		hear(ground, c.Caliber, fired, 0.6, true)
	case show.FamilyCandle, show.FamilyCake:
		for t := 0.0; t <= c.Burn.Seconds(); t += between(n.rand, 0.3, 0.9) {
			hear(ground, c.Caliber, fired+t, 0.5, t == 0)
		}
	case show.FamilyComet:
		hear(ground, c.Caliber, fired, 0.15, false)
	}
}

// clocked is a sound as the recorder's clock takes it, which makes PPM millionths more
// frames of it; the second zero of x is where the recording has its Offset.
func (n *Night) clocked(x []float64, zero float64) []float64 {
	ratio := 1 + n.PPM*1e-6
	from := zero*Rate - n.Offset*Rate/ratio
	out := make([]float64, int((float64(len(x))-from)*ratio))
	for i := range out {
		out[i] = sinc(x, from+float64(i)/ratio)
	}
	return out
}

const (
	half   = 12 // taps either side
	phases = 1024
)

// taps are a windowed sinc between two frames, by phase.
var taps = sync.OnceValue(func() *[phases + 1][2 * half]float64 {
	var out [phases + 1][2 * half]float64
	for p := range out {
		for k := range out[p] {
			t := float64(p)/phases - float64(k-half+1)
			out[p][k] = 1
			if t != 0 {
				out[p][k] = math.Sin(math.Pi*t) / (math.Pi * t) * (0.5 + 0.5*math.Cos(math.Pi*t/(half+1)))
			}
		}
	}
	return &out
})

// sinc reads x between its frames.
func sinc(x []float64, at float64) (sum float64) {
	base := int(math.Floor(at))
	for k, w := range taps()[int((at-float64(base))*phases+0.5)] {
		if i := base + k - half + 1; i >= 0 && i < len(x) {
			sum += x[i] * w
		}
	}
	return sum
}

// clip brings x to full scale, where it stays within a part of its largest peak, and to
// the steps of 16 bits.
func clip(x []float64, part float64) []float64 {
	peak := max(1e-9, dsp.Peak(x))
	for i, v := range x {
		x[i] = math.Round(32000*max(-1, min(1, v/peak/part))) / 32768
	}
	return x
}
