package tone

import (
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// spectra are the power spectra of overlapping windows, one each step.
type spectra struct {
	frames   [][]float64
	peaks    []peak
	hop      int
	rate     float64
	binHz    float64
	from, to int // bins from lowest to highest
	size     int
}

func newSpectra(samples []float64, rate int) *spectra {
	s := &spectra{rate: float64(rate)}
	s.size = max(2, int(window.Seconds()*s.rate))
	s.hop = max(1, int(step.Seconds()*s.rate))
	padded := 1
	for padded < s.size {
		padded *= 2
	}
	s.binHz = s.rate / float64(padded)
	s.from, s.to = int(lowest/s.binHz), min(int(highest/s.binHz), padded/2-1)
	fft, buf := fourier.NewFFT(padded), make([]float64, padded)
	hann := make([]float64, s.size)
	for i := range hann {
		hann[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(s.size))
	}
	var coeff []complex128
	for at := 0; at+s.size <= len(samples); at += s.hop {
		clear(buf[s.size:])
		for i, x := range samples[at : at+s.size] {
			buf[i] = x * hann[i]
		}
		coeff = fft.Coefficients(coeff, buf)
		power := make([]float64, s.to+1)
		for b := range power {
			m := cmplx.Abs(coeff[b]) * 4 / float64(s.size) // a sine's amplitude
			power[b] = m * m
		}
		s.frames = append(s.frames, power)
		s.peaks = append(s.peaks, s.peak(power))
	}
	return s
}

// A peak is the strongest partial of one window.
type peak struct {
	bin   int
	power float64
	above float64 // dB over the median around it
	share float64 // of all the power
}

func (p peak) stands() bool {
	return p.power > floor*floor && p.above >= prominent && p.share >= share
}

// lobe is how many bins either side of its middle a steady sine fills: half of
// a Hann window's main lobe, which is four of the window's own bins wide.
func (s *spectra) lobe() int { return int(math.Ceil(2 * s.rate / float64(s.size) / s.binHz)) }

// peak finds the strongest partial of a window.
func (s *spectra) peak(power []float64) peak {
	p := peak{bin: s.from}
	all := 0.0
	for b := s.from; b <= s.to; b++ {
		all += power[b]
		if power[b] > power[p.bin] {
			p.bin = b
		}
	}
	p.power = power[p.bin]
	own := 0.0
	for b := max(s.from, p.bin-s.lobe()); b <= min(s.to, p.bin+s.lobe()); b++ {
		own += power[b]
	}
	if all > 0 {
		p.share = own / all
	}
	p.above = db(p.power / max(s.around(power, p.bin), floor*floor*1e-4))
	return p
}

// around is the median power within an octave of a bin, leaving its lobe out.
func (s *spectra) around(power []float64, bin int) float64 {
	var near []float64
	for b := max(s.from, bin/2); b <= min(s.to, 2*bin); b++ {
		if b < bin-s.lobe() || b > bin+s.lobe() {
			near = append(near, power[b])
		}
	}
	if len(near) == 0 {
		return 0
	}
	slices.Sort(near)
	return near[len(near)/2]
}

// hz puts a parabola through the peak's logarithms for its middle.
func (s *spectra) hz(i, bin int) float64 {
	power := s.frames[i]
	if bin <= 0 || bin+1 >= len(power) {
		return float64(bin) * s.binHz
	}
	a, b, c := math.Log(power[bin-1]+1e-300), math.Log(power[bin]+1e-300), math.Log(power[bin+1]+1e-300)
	shift := 0.0
	if d := a - 2*b + c; d < 0 {
		shift = 0.5 * (a - c) / d
	}
	return (float64(bin) + shift) * s.binHz
}

func db(ratio float64) float64 { return 10 * math.Log10(max(ratio, 1e-30)) }
