package score

import (
	"math"

	"drylane/playback/internal/dsp"
)

// A saw is a sawtooth whose step is rounded over one sample either side
// (polynomial band-limited step; Välimäki and Huovilainen 2007), so that high
// notes do not fold back into the band.
type saw struct{ phase, step float64 }

func (o *saw) next() float64 {
	y := 2*o.phase - 1
	if p := o.phase / o.step; p < 1 {
		y -= 2*p - p*p - 1
	} else if p := (o.phase - 1) / o.step; p > -1 {
		y -= p*p + 2*p + 1
	}
	o.phase += o.step
	if o.phase >= 1 {
		o.phase--
	}
	return y
}

// sawAt returns a sawtooth detuned by cents, starting anywhere.
func sawAt(hz, cents float64, rand *dsp.Rand) saw {
	return saw{phase: 0.5 + 0.5*rand.Bipolar(), step: hz * math.Pow(2, cents/1200) / Rate}
}

// soundViolin is two sawtooths beating against each other, softened, with a
// slow attack.
func soundViolin(n note, rand *dsp.Rand) []float64 {
	s := adsr{attack: 0.12, decay: 1.5, sustain: 0.8, release: 0.5}.shape(n)
	a, b := sawAt(n.pitch.hz(), -6+2*rand.Bipolar(), rand), sawAt(n.pitch.hz(), 6+2*rand.Bipolar(), rand)
	first := dsp.LowPass(700+1800*n.force, 0.7, Rate)
	second := dsp.LowPass(1400+1800*n.force, 0.7, Rate)
	for i := range s {
		s[i] *= second.Next(first.Next(a.next() + b.next()))
	}
	return s
}

// soundBass is a dull sawtooth over a sine of the same pitch.
func soundBass(n note, rand *dsp.Rand) []float64 {
	s := adsr{attack: 0.006, decay: 0.25, sustain: 0.45, release: 0.08}.shape(n)
	o := sawAt(n.pitch.hz(), 0, rand)
	filter := dsp.LowPass(420, 0.9, Rate)
	turn := 2 * math.Pi * n.pitch.hz() / Rate
	for i := range s {
		s[i] *= 0.7 * (filter.Next(o.next()) + math.Sin(turn*float64(i)))
	}
	return s
}

// soundBell is a sine modulated by another (Chowning 1973), bright at first.
func soundBell(n note, _ *dsp.Rand) []float64 {
	s := make([]float64, int(2.2*Rate))
	turn := 2 * math.Pi * n.pitch.hz() / Rate
	index, body, strike := falling(1.6*n.force, 0.18), falling(n.force, 0.55), falling(0.25*n.force, 0.03)
	for i := range s {
		w := turn * float64(i)
		s[i] = body.next()*math.Sin(w+index.next()*math.Sin(3.01*w)) + strike.next()*math.Sin(5.4*w)
	}
	dsp.FadeOut(s, Rate/5)
	return s
}

// soundPluck is a burst of noise going round in a delay of one period, a
// little duller each time (Karplus and Strong 1983).
func soundPluck(n note, rand *dsp.Rand) []float64 {
	s := make([]float64, int(0.9*Rate))
	period := Rate/n.pitch.hz() - 0.5 // the averaging adds half a sample
	whole := int(period)
	part := period - float64(whole)
	soft := dsp.LowPass(3500+3000*n.force, 0.7, Rate)
	for i := range s {
		if i <= whole+1 {
			s[i] = soft.Next(rand.Bipolar())
			continue
		}
		a, b, c := s[i-whole], s[i-whole-1], s[max(0, i-whole-2)]
		s[i] = 0.4975 * ((1-part)*(a+b) + part*(b+c))
	}
	for i := range s {
		s[i] *= 1.6 * n.force
	}
	dsp.FadeOut(s, Rate/5)
	return s
}

// soundHorn is a sawtooth that opens up as it is blown, with a late vibrato.
func soundHorn(n note, rand *dsp.Rand) []float64 {
	s := adsr{attack: 0.025, decay: 0.4, sustain: 0.75, release: 0.15}.shape(n)
	f := n.pitch.hz()
	a, b := sawAt(f, -3, rand), sawAt(f, 3, rand)
	stepA, stepB := a.step, b.step
	first, second := dsp.LowPass(2.2*f, 0.8, Rate), dsp.LowPass(4.5*f, 0.7, Rate)
	for i := range s {
		t := float64(i) / Rate
		vibrato := 1 + 0.004*min(1, t/0.6)*math.Sin(2*math.Pi*5.2*t)
		a.step, b.step = stepA*vibrato, stepB*vibrato
		s[i] *= 0.6 * second.Next(first.Next(a.next()+b.next()))
	}
	return s
}
