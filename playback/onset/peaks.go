package onset

import (
	"math"
	"slices"

	"drylane/show/timebase"
)

// How peaks are picked, in seconds. Published for this method: a value must be
// the highest from 10 ms before to 50 ms after and exceed the mean of the 150 ms
// before by a fixed threshold. Here the threshold follows the music: it is the sum
// of a part of the mean strength of the piece, of its root mean square, and of its
// median, which tells how much stirs where nothing begins.
const (
	peakReach    = 0.02 // highest within, to each side
	meanBefore   = 0.07 // mean over so long before ...
	meanAfter    = 0.04 // ... and after
	apart        = 0.03 // onsets are at least so far apart
	partOfMean   = 0.1
	partOfRMS    = 0.12
	partOfMedian = 0.7
	loudFor      = 0.1  // how long the loudness of an accent is taken over
	leastRise    = 1e-3 // below this there is nothing but noise of the last bit
	strongAccent = 0.95 // quantile that is strength 1
	silence      = 0.01 // part of the power of a sound that is silence before it
	// late is by how many seconds the rise of a note is steepest after its start.
	late = 0.0045
)

// accents picks the peaks of the onset strength. What makes an accent strong to
// a listener is that much sets in and that it is loud: the root of the rise of all
// bands times the root mean square of what follows.
func (l layout) accents(all []value, strength []float32, length timebase.Frame) []Accent {
	if length == 0 {
		return nil
	}
	rise, power := make([]float32, len(all)), make([]float32, len(all))
	for i, v := range all {
		rise[i], power[i] = v.rise, v.power
	}
	sums, rises, powers := newSums(strength, 1), newSums(rise, 1), newSums(power, 1)
	least := leastOver(strength)
	gap := l.values(apart)
	before, after := l.values(meanBefore), l.values(meanAfter)
	ahead := l.values(loudFor)
	var out []Accent
	last := -gap - 1
	for i, v := range strength {
		if i-last <= gap || v < leastRise || !l.highest(strength, i) {
			continue
		}
		if float64(v)-sums.mean(i-before, i+after+1) < least {
			continue
		}
		last = i
		over := max(0, float64(slices.Max(rise[max(0, i-1):min(len(rise), i+2)]))-rises.mean(i-before, i+after+1))
		loud, quiet := powers.mean(i, i+ahead), powers.mean(i-ahead-1, i-1)
		turn, bass := turned(all[max(0, i-1):min(len(all), i+2)])
		out = append(out, Accent{
			At: max(l.place(strength, i, length), l.silentUntil(power, i)), Strength: math.Sqrt(over * loud),
			Rise: over, Loud: math.Sqrt(loud), Gain: math.Sqrt(max(0, loud-quiet)), Turn: turn, Bass: bass,
		})
	}
	scale(out)
	return out
}

// turned is the most that values turn by, and their bass.
func turned(values []value) (turn, bass float64) {
	for _, v := range values {
		turn, bass = max(turn, float64(v.turn)), max(bass, float64(v.bass))
	}
	return turn, bass
}

// leastOver is how far a peak has to stand above what is around it.
func leastOver(strength []float32) float64 {
	mean := newSums(strength, 1).mean(0, len(strength))
	rms := math.Sqrt(newSums(strength, 2).mean(0, len(strength)))
	median := slices.Sorted(slices.Values(strength))[len(strength)/2]
	return partOfMean*mean + partOfRMS*rms + partOfMedian*float64(median)
}

// highest reports whether no value near i is above it.
func (l layout) highest(strength []float32, i int) bool {
	reach := l.values(peakReach)
	return strength[i] >= slices.Max(strength[max(0, i-reach):min(len(strength), i+reach+1)])
}

// place returns the frame of the peak at value i, between values by a parabola.
func (l layout) place(strength []float32, i int, length timebase.Frame) timebase.Frame {
	at := float64(i)
	if i > 0 && i+1 < len(strength) {
		a, b, c := float64(strength[i-1]), float64(strength[i]), float64(strength[i+1])
		if bend := a - 2*b + c; bend < 0 {
			at += max(-0.5, min(0.5*(a-c)/bend, 0.5))
		}
	}
	return l.frame(at, length)
}

// silentUntil returns the frame up to which there is as good as silence before the
// peak at value i, 0 if there is sound. Out of silence the strength rises as soon
// as the window touches a sound, up to a quarter of the window before it.
func (l layout) silentUntil(power []float32, i int) timebase.Frame {
	from, to := max(0, i-1), min(len(power), i+3)
	least := silence * slices.Max(power[from:to])
	if from == i || power[from] >= least {
		return 0
	}
	for j := i; j+1 < to; j++ {
		if power[j] >= least {
			// It begins within this value, the later the softer it is than the next.
			part := 1 - min(1, float64(power[j]/power[j+1]))
			return timebase.Frame((float64(j) + part) * float64(l.step()))
		}
	}
	return timebase.Frame((to - 1) * l.step())
}

// frame returns the frame at which a rise at a value, or between two, began.
func (l layout) frame(value float64, length timebase.Frame) timebase.Frame {
	f := timebase.Frame(math.Round(value*float64(l.step()) - late*float64(l.rate)))
	return max(0, min(f, length-1))
}

// scale makes those of the strong accents 1, one figure after the other.
func scale(as []Accent) {
	if len(as) == 0 {
		return
	}
	s := make([]float64, len(as))
	for _, figure := range []func(a *Accent) *float64{
		func(a *Accent) *float64 { return &a.Strength }, func(a *Accent) *float64 { return &a.Rise },
		func(a *Accent) *float64 { return &a.Loud }, func(a *Accent) *float64 { return &a.Gain },
		func(a *Accent) *float64 { return &a.Turn }, func(a *Accent) *float64 { return &a.Bass },
	} {
		for i := range as {
			s[i] = *figure(&as[i])
		}
		slices.Sort(s)
		one := s[int(strongAccent*float64(len(s)-1)+0.5)]
		if one <= 0 {
			one = 1
		}
		for i := range as {
			v := figure(&as[i])
			*v = math.Round(*v/one*1e4) / 1e4 // more is noise
		}
	}
}

// sums answers for means over any range.
type sums []float64

// newSums sums up x to a power, 1 or 2.
func newSums(x []float32, power float64) sums {
	s := make(sums, len(x)+1)
	for i, v := range x {
		s[i+1] = s[i] + math.Pow(float64(v), power)
	}
	return s
}

// mean is over values from up to, not with, to, as far as there are any.
func (s sums) mean(from, to int) float64 {
	to = max(0, min(to, len(s)-1))
	from = min(max(from, 0), to)
	return (s[to] - s[from]) / float64(max(1, to-from))
}
