package review

import (
	"slices"
	"time"

	"drylane/show"
)

// An Ear has listened to music: many lists can be checked against it without
// listening again. It belongs to one goroutine at a time.
type Ear struct {
	music  Music
	trains map[time.Duration][]*train // of every taste, by scatter
	// strength is the mean rank of each accent by how much sets in and how loud
	// it is, loud that by how loud it is, 0 to 1; gap is as of afterLess.
	strength, loud, gap []float64
	// turn and bass are the ranks of each accent by the figures of that name.
	turn, bass  []float64
	first, last time.Duration // of the accents
	along       [][]float32   // gap, turn and bass, see figures
}

// Listen prepares music for lists.
func Listen(music Music) *Ear {
	e := &Ear{music: music, trains: map[time.Duration][]*train{}, gap: afterLess(music.Accents)}
	rise, loud := ranked(music.Accents, func(a Accent) float64 { return a.Rise }), ranked(music.Accents, func(a Accent) float64 { return a.Loud })
	for i := range rise {
		e.strength = append(e.strength, (rise[i]+loud[i])/2)
	}
	e.loud, e.turn, e.bass = loud, ranked(music.Accents, func(a Accent) float64 { return a.Turn }), ranked(music.Accents, func(a Accent) float64 { return a.Bass })
	if n := len(music.Accents); n > 0 {
		e.first, e.last = music.Accents[0].At, music.Accents[n-1].At
	}
	return e
}

// Check checks cues against music. Cues need not be in order.
func Check(cues []show.Cue, music Music) Report { return Listen(music).Check(cues) }

// Check checks cues against the music. Cues need not be in order.
func (e *Ear) Check(cues []show.Cue) Report {
	cues = slices.Clone(cues)
	slices.SortStableFunc(cues, func(a, b show.Cue) int { return int(a.EffectAt - b.EffectAt) })
	r := review{Ear: e, cues: cues}
	return r.report()
}

// kept is the longest music whose trains are kept: beyond it they take too much
// memory.
const kept = time.Hour

// of returns the music as each taste of a scatter sees it.
func (e *Ear) of(scatter time.Duration) []*train {
	if t, ok := e.trains[scatter]; ok {
		return t
	}
	var out []*train
	for _, like := range tastes(scatter) {
		out = append(out, newTrain(e.music, like))
	}
	if e.music.Length <= kept {
		e.trains[scatter] = out
	}
	return out
}
