package desk

import (
	"math"
	"math/rand/v2"
	"time"

	"drylane/playback/synth"
	"drylane/show/timebase"

	"gonum.org/v1/gonum/dsp/fourier"
)

// A Signal is a test sound.
type Signal uint8

// The signals, in the order of a check: which side is which first, quiet
// things before loud ones.
const (
	PipsLeft Signal = iota
	PipsRight
	PipsTurns
	Polarity
	Pink
	Tone
	SignalCount // how many there are
)

// A signalText says what a signal is, in words. What to listen for is common
// practice, no source.
type signalText struct{ id, title, listen string }

var signalTexts = [SignalCount]signalText{
	PipsLeft: {"left", "LEFT only: one low pip",
		"One low pip a second, on the LEFT only. Every loudspeaker of the left side gives it and none of the right. Left is left as the audience sees the field."},
	PipsRight: {"right", "RIGHT only: two high pips",
		"Two high pips a second, on the RIGHT only. Every loudspeaker of the right side gives them and none of the left."},
	PipsTurns: {"sides", "left and right in turn",
		"Two seconds of low single pips on the LEFT, two seconds of high double pips on the RIGHT. One low pip on the right means that the sides are swapped."},
	Polarity: {"polarity", "polarity: in and out of phase",
		"The same low noise, two seconds IN PHASE, two seconds OUT OF PHASE. Stand midway between left and right. In phase it is full and comes from the middle; out of phase it is thin and comes from nowhere. If it is the other way round, one side is wired with + and - swapped."},
	Pink: {"pink", "pink noise",
		"The same noise on both sides, with equal power in every octave. Walk past every loudspeaker: all should hiss and rumble alike. One that is dull, thin or silent has a dead part or a wrong setting. Set left and right equally loud."},
	Tone: {"tone", "1 kHz tone",
		"A steady tone to set levels by along the way to the amplifiers. It buzzes where something is overdriven. Keep it short: it tires ears and loudspeakers."},
}

// ID is the signal's name on the command line.
func (s Signal) ID() string { return signalTexts[s].id }

// Title names the signal in a list.
func (s Signal) Title() string { return signalTexts[s].title }

// Listen says what the signal is and what to listen for.
func (s Signal) Listen() string { return signalTexts[s].listen }

// Top is the highest level of the signal, in dBFS, at which nothing of it
// passes full scale. Levels of noise are those of a sine of the same power.
func (s Signal) Top() Half {
	if s == Polarity || s == Pink {
		return Halves(-12)
	}
	return 0
}

// Level returns the level the signal plays at when set is asked for: as much of
// it as goes without passing full scale.
func (s Signal) Level(set Half) Half { return min(set, s.Top()) }

// How the signals are built.
const (
	toneHz     = 1000
	lowPip     = 440  // Hz
	highPip    = 1760 // Hz, two octaves above
	pinkTurn   = 5 * time.Second
	sideTurn   = 2 * time.Second
	phaseTurn  = 2 * time.Second
	phaseGap   = 250 * time.Millisecond
	phaseFade  = 20 * time.Millisecond
	phaseLow   = 100 // Hz: what every loudspeaker gives, and low enough that
	phaseHigh  = 400 // two out of phase cancel over a wide place
	seam       = 50 * time.Millisecond
	synthEdge  = 5 * time.Millisecond // that synth's sounds fade in and out
	noiseSeed  = 20261125
	sineSquare = 0.5 // mean square of a full-scale sine
)

// Now says which part of a signal sounds at a moment of it; empty when it has
// no parts.
func (s Signal) Now(at time.Duration) string {
	switch {
	case s == PipsTurns && at%(2*sideTurn) < sideTurn:
		return "LEFT now"
	case s == PipsTurns:
		return "RIGHT now"
	case s == Polarity && at%(2*(phaseTurn+phaseGap)) < phaseTurn+phaseGap:
		return "IN PHASE now"
	case s == Polarity:
		return "OUT OF PHASE now"
	}
	return ""
}

// Loop returns one turn of the signal at 0 dBFS and rate frames a second. It
// can be played over and over without a seam. Noise at 0 dBFS passes full
// scale.
func (s Signal) Loop(rate int) [][2]float64 {
	switch s {
	case PipsLeft:
		return onSides(lowPips(rate), nil)
	case PipsRight:
		return onSides(nil, highPips(rate))
	case PipsTurns:
		low, high := onSides(lowPips(rate), nil), onSides(nil, highPips(rate))
		return join(low, low, high, high)
	case Polarity:
		return phases(rate)
	case Pink:
		n := pinkNoise(rate)
		return onSides(n, n)
	}
	n := steady(rate)
	return onSides(n, n)
}

// steady is one second of the tone, cut from the middle of a longer one: a
// whole number of periods at any rate.
func steady(rate int) []float64 {
	return scaled(synth.Tone(toneHz, rate, 3*rate)[rate:2*rate], -synth.ToneLevel)
}

// lowPips is a second with one pip in it.
func lowPips(rate int) []float64 {
	s := make([]float64, rate)
	copy(s, pip(lowPip, 300*time.Millisecond, rate))
	return s
}

// highPips is a second with two pips in it.
func highPips(rate int) []float64 {
	s := make([]float64, rate)
	p := pip(highPip, 100*time.Millisecond, rate)
	copy(s, p)
	copy(s[timebase.FrameAt(200*time.Millisecond, rate):], p)
	return s
}

func pip(hz float64, d time.Duration, rate int) []float64 {
	return scaled(synth.Tone(hz, rate, int(timebase.FrameAt(d, rate))), -synth.ToneLevel)
}

// pinkNoise is a turn of pink noise whose end runs into its beginning.
func pinkNoise(rate int) []float64 {
	n, cross, edge := count(pinkTurn, rate), count(seam, rate), count(synthEdge, rate)
	s := scaled(synth.PinkNoise(noiseSeed, rate, n+cross+2*edge), -synth.NoiseLevel)[edge:]
	for i := range cross { // what follows the end fades out over the beginning
		x := math.Pi / 2 * float64(i) / float64(cross)
		s[i] = s[i]*math.Sin(x) + s[n+i]*math.Cos(x)
	}
	return s[:n]
}

// phases is the polarity test: one burst of noise on both sides, then the
// same with the right side turned over.
func phases(rate int) [][2]float64 {
	burst := bandNoise(rate, count(phaseTurn, rate))
	fade := count(phaseFade, rate)
	for i := range fade {
		g := (1 - math.Cos(math.Pi*float64(i)/float64(fade))) / 2
		burst[i] *= g
		burst[len(burst)-1-i] *= g
	}
	burst = append(burst, make([]float64, count(phaseGap, rate))...)
	in, out := onSides(burst, burst), onSides(burst, burst)
	for i := range out {
		out[i][1] = -out[i][1]
	}
	return join(in, out)
}

// bandNoise returns n frames with equal power from phaseLow to phaseHigh and
// none outside.
func bandNoise(rate, n int) []float64 {
	rnd := rand.New(rand.NewPCG(noiseSeed, 0))
	spectrum := make([]complex128, n/2+1)
	for k := range spectrum {
		if hz := k * rate / n; hz >= phaseLow && hz < phaseHigh {
			sin, cos := math.Sincos(2 * math.Pi * rnd.Float64())
			spectrum[k] = complex(cos, sin)
		}
	}
	s := fourier.NewFFT(n).Sequence(nil, spectrum)
	power := 0.0
	for _, v := range s {
		power += v * v
	}
	g := math.Sqrt(sineSquare * float64(n) / power)
	for i := range s {
		s[i] *= g
	}
	return s
}

func count(d time.Duration, rate int) int { return int(timebase.FrameAt(d, rate)) }

// scaled raises s by db.
func scaled(s []float64, db float64) []float64 {
	g := math.Pow(10, db/20)
	for i := range s {
		s[i] *= g
	}
	return s
}

// onSides puts a sound on the left and one on the right; nil is silence.
func onSides(left, right []float64) [][2]float64 {
	out := make([][2]float64, max(len(left), len(right)))
	for i := range left {
		out[i][0] = left[i]
	}
	for i := range right {
		out[i][1] = right[i]
	}
	return out
}

func join(parts ...[][2]float64) (all [][2]float64) {
	for _, p := range parts {
		all = append(all, p...)
	}
	return all
}
