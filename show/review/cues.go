package review

import (
	"sort"
	"time"
)

// A Place is where a cue lies against the music.
type Place string

// The places of a cue.
const (
	OnAccent Place = "on the accent"
	Early    Place = "early"
	Late     Place = "late"
	NoAccent Place = "no accent near"
)

const (
	// within is how far a cue may lie from its accent and still be on it: the
	// least lateness of sound against picture that people notice (45 ms,
	// ITU-R BT.1359-1, 1998).
	within = 45 * time.Millisecond
	// near is how far a strong accent is looked for.
	near = 150 * time.Millisecond
	// strong is the strength from which an accent counts as one for a cue that
	// does not fit with the others.
	strong = 0.2
)

// A CueFit is one cue against the music.
type CueFit struct {
	ID, Position string
	At           time.Duration
	Place        Place
	// Off and Strength are of the accent that the cue belongs to, or the
	// nearest; 0 without any.
	Off      time.Duration
	Strength float64
	// Beat is the difference to the nearest beat, if HasBeat.
	Beat    time.Duration
	HasBeat bool
}

func (r *review) judgeCues(rep *Report) []CueFit {
	var out []CueFit
	for _, c := range r.cues {
		j := CueFit{ID: c.ID, Position: c.Position, At: c.EffectAt, Place: NoAccent}
		a, ok := Accent{}, false
		if rep.Show.Found() || rep.Rate.Grows || rep.Show.onBeat() {
			extra := r.extra[c.Position]
			if i := r.train.partner(c.EffectAt - extra - r.line.at(c.EffectAt-extra)); i >= 0 {
				a, ok = r.train.accents[i], true
			}
		}
		if !ok {
			a, ok = r.train.nearest(c.EffectAt, near, strong)
		}
		if ok {
			j.Off, j.Strength = c.EffectAt-a.At, a.Strength
			j.Place = placeOf(j.Off)
		}
		j.Beat, j.HasBeat = r.toBeat(c.EffectAt)
		out = append(out, j)
	}
	return out
}

func placeOf(off time.Duration) Place {
	switch {
	case off > within:
		return Late
	case off < -within:
		return Early
	}
	return OnAccent
}

// toBeat returns the difference to the nearest beat, where the music has beats.
func (e *Ear) toBeat(at time.Duration) (time.Duration, bool) {
	beats := e.music.Beats
	i := sort.Search(len(beats), func(i int) bool { return beats[i] >= at })
	const farthest = 2 * time.Second
	best := farthest + 1
	for _, k := range []int{i - 1, i} {
		if k >= 0 && k < len(beats) && (at-beats[k]).Abs() < best.Abs() {
			best = at - beats[k]
		}
	}
	return best, best.Abs() <= farthest
}

// runOf is how many moments in a row without an accent are told.
const runOf = 4

// looseRuns returns the ranges of cues in a row that have no accent near.
func looseRuns(cues []CueFit) [][2]int {
	var out [][2]int
	for i := 0; i < len(cues); {
		j, moments := i, 0
		for ; j < len(cues) && cues[j].Place == NoAccent; j++ {
			if j == i || cues[j].At-cues[j-1].At > oneMoment {
				moments++
			}
		}
		if moments >= runOf {
			out = append(out, [2]int{i, j - 1})
		}
		i = max(j, i+1)
	}
	return out
}

// betweenBeats reports whether most of the cues lie more than a fifth of a beat
// away from the nearest.
func (r *review) betweenBeats(cues []CueFit) bool {
	off := 0
	for _, c := range cues {
		i := sort.Search(len(r.music.Beats), func(i int) bool { return r.music.Beats[i] >= c.At })
		if c.HasBeat && i > 0 && i < len(r.music.Beats) && 5*c.Beat.Abs() > r.music.Beats[i]-r.music.Beats[i-1] {
			off++
		}
	}
	return 3*off >= 2*len(cues)
}
