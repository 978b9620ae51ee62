// Package tone listens for a steady tone that begins somewhere in a stretch of
// sound: the witness of a show, early in the music.
package tone

import (
	"math"
	"slices"
	"time"
)

// A Tone is what was found.
type Tone struct {
	At   time.Duration // when it begins, from the start of the stretch, to about 10 ms
	Hz   float64       // to about 2 Hz
	For  time.Duration // how long it was followed
	Peak float64       // dB over the middle of the spectrum around it
}

// What counts as a tone: one narrow peak, far above the sound around it, that
// stays for a while and was not there before. The figures were set on tones in
// noise and in music; there is no standard for them.
const (
	lowest, highest = 200.0, 6000.0 // Hz, of a tone that a crew can hear
	step            = 10 * time.Millisecond
	window          = 50 * time.Millisecond
	shortest        = 150 * time.Millisecond // of a tone
	prominent       = 24.0                   // dB over the spectrum around it
	share           = 0.25                   // of all the power from lowest to highest
	rise            = 12.0                   // dB over what was there before
	unsteady        = 4.0                    // dB between its loudest and its softest
	overtone        = -20.0                  // dB of a partial against it
	floor           = 1e-5                   // amplitude, -100 dBFS: below it there is nothing
)

// The rates that Find listens at.
const (
	lowestRate  = 8000
	highestRate = 384000
)

// Find looks for a tone in samples at rate a second, 8000 to 384000. Of several
// it returns the one that stands out most; nil when there is none.
//
// A tone counts only when it begins in the stretch, keeps its level and has no
// even overtones to speak of: a drone that was there from the start is music, and
// so is a plucked or blown note.
func Find(samples []float64, rate int) *Tone {
	if rate < lowestRate || rate > highestRate {
		return nil
	}
	s := newSpectra(samples, rate)
	var best *Tone
	for i := 0; i < len(s.peaks); {
		if !s.peaks[i].stands() {
			i++
			continue
		}
		n := s.follow(i)
		if t := s.tone(i, n); t != nil && (best == nil || t.Peak > best.Peak) {
			best = t
		}
		i += n
	}
	return best
}

// follow returns for how many windows from i on the peak stays where it is, at
// least 1.
func (s *spectra) follow(i int) int {
	n := 1
	for i+n < len(s.peaks) {
		p := s.peaks[i+n]
		if !p.stands() || p.bin < s.peaks[i].bin-2 || p.bin > s.peaks[i].bin+2 {
			break
		}
		n++
	}
	return n
}

// tone makes a Tone of the n windows from i on that share a peak; nil when it
// is none.
func (s *spectra) tone(i, n int) *Tone {
	if time.Duration(n-1)*step+window < shortest || i == 0 {
		return nil
	}
	mid := s.peaks[i+n/2]
	before := 0.0
	for j := range max(i-int(window/step), 0) + 1 {
		before = max(before, s.frames[j][mid.bin])
	}
	if db(mid.power/max(before, floor*floor*1e-4)) < rise || !s.steady(i, n) || s.overtones(i, n) > overtone {
		return nil
	}
	return &Tone{
		At: s.onset(i, mid), Hz: s.hz(i+n/2, mid.bin),
		For: time.Duration(n) * step, Peak: mid.above,
	}
}

// steady reports whether the peak keeps its level between its edges, which a
// window's length of fade and the sound around it blur.
func (s *spectra) steady(i, n int) bool {
	edge := min(int(window/step), (n-1)/2)
	least, most := math.Inf(1), 0.0
	for _, p := range s.peaks[i+edge : i+n-edge] {
		least, most = min(least, p.power), max(most, p.power)
	}
	return db(most/least) <= unsteady
}

// overtones is the level in dB against the tone of its louder even partial, the
// second or the fourth, as a mean over its windows. The odd ones do not count:
// a tone that is clipped has them as well.
func (s *spectra) overtones(i, n int) float64 {
	var own float64
	var partials [5]float64
	for j := i; j < i+n; j++ {
		p := s.peaks[j]
		own += p.power
		for k := 2; k < len(partials); k += 2 {
			loudest := 0.0
			for b := k*p.bin - s.lobe(); b <= min(k*p.bin+s.lobe(), s.to); b++ {
				loudest = max(loudest, s.frames[j][b])
			}
			partials[k] += loudest
		}
	}
	return db(slices.Max(partials[:]) / own)
}

// onset is the middle of the first window that holds half of the tone's
// amplitude: a window half filled by a sine reads half of it.
func (s *spectra) onset(i int, mid peak) time.Duration {
	for i > 0 && s.frames[i-1][mid.bin] >= mid.power/4 {
		i--
	}
	for i < len(s.frames)-1 && s.frames[i][mid.bin] < mid.power/4 {
		i++
	}
	at := float64(i*s.hop+s.size/2) / s.rate
	return time.Duration(at * float64(time.Second)).Round(time.Millisecond)
}
