package drift

import (
	"math/rand/v2"
	"slices"
	"time"
)

// A simulation draws shows and shooters. Every draw comes from its seed.
type simulation struct{ *rand.Rand }

func simulate(seed uint64) simulation {
	return simulation{rand.New(rand.NewPCG(seed, 20))}
}

// between draws a time, evenly.
func (s simulation) between(lo, hi time.Duration) time.Duration {
	return lo + time.Duration(s.Int64N(int64(hi-lo)))
}

var positions = []string{"Barge", "Quay", "Roof", "Tower"}

// A simulated show is a cue list as planned, with the accents of the music that
// a shooter would tap.
type simShow struct {
	cues    []Target
	accents []time.Duration
	lanes   []string // of each accent; empty when fired from several
}

func (w *simShow) cue(at time.Duration, lane string) {
	w.cues = append(w.cues, Target{At: at, Lane: lane})
}

// sparse is a slow show: a cue every 1.5 to 6 s, each on an accent.
func (s simulation) sparse(accents int) simShow {
	var w simShow
	at := s.between(5*time.Second, 10*time.Second)
	for range accents {
		lane := positions[s.IntN(len(positions))]
		w.cue(at, lane)
		w.accents, w.lanes = append(w.accents, at), append(w.lanes, lane)
		at += s.between(1500*time.Millisecond, 6*time.Second)
	}
	return w
}

// dense has a cue every 0.1 to 0.3 s throughout. Every 1 to 4 s an accent is a
// salvo from two to all positions; the rest are single cues that run between.
func (s simulation) dense(accents int) simShow {
	var w simShow
	at := s.between(5*time.Second, 10*time.Second)
	for range accents {
		for _, p := range s.Perm(len(positions))[:2+s.IntN(3)] {
			w.cue(at, positions[p])
		}
		w.accents, w.lanes = append(w.accents, at), append(w.lanes, "")
		next := at + s.between(time.Second, 4*time.Second)
		for k := s.IntN(4); ; k++ {
			at += s.between(100*time.Millisecond, 300*time.Millisecond)
			if at > next-100*time.Millisecond {
				break
			}
			w.cue(at, positions[k%len(positions)])
		}
		at = next
	}
	return w
}

// taps are n taps at successive accents, about one in four passed over, with a
// scatter of 60 ms; one in five is a stray: half of those within a second of the
// accent, half anywhere.
func (s simulation) taps(w simShow, n int, bias time.Duration) []Tap {
	var out []Tap
	for i := 0; i < len(w.accents) && len(out) < n; i++ {
		if s.IntN(4) == 0 && len(w.accents)-i > n-len(out) {
			continue
		}
		at := w.accents[i] + time.Duration(60e6*s.NormFloat64())
		switch {
		case s.Float64() >= 0.2:
		case s.IntN(2) == 0:
			at = w.accents[i] + s.between(-time.Second, time.Second)
		default:
			at = s.between(w.accents[0], w.accents[len(w.accents)-1])
		}
		out = append(out, Tap{Heard: at + bias})
	}
	return out
}

// late returns the cues with every effect d later.
func late(cues []Target, d time.Duration) []Target {
	cues = slices.Clone(cues)
	for i := range cues {
		cues[i].At += d
	}
	return cues
}

func (s simulation) show(list string, accents int) simShow {
	if list == "sparse" {
		return s.sparse(accents)
	}
	return s.dense(accents)
}

// unmarked is a dense list without a mark: a cue every 0.1 to 0.3 s, all alike,
// of which every fifth or so is an accent that nothing tells from the others.
func (s simulation) unmarked(accents int) simShow {
	var w simShow
	at := s.between(5*time.Second, 10*time.Second)
	for k := 0; len(w.accents) < accents; k++ {
		lane := positions[k%len(positions)]
		w.cue(at, lane)
		if s.IntN(5) == 0 {
			w.accents, w.lanes = append(w.accents, at), append(w.lanes, lane)
		}
		at += s.between(100*time.Millisecond, 300*time.Millisecond)
	}
	return w
}
