package main

import (
	"slices"
	"sync/atomic"

	"drylane/playback"
	"drylane/playback/accents"
	"drylane/playback/onset"
	"drylane/show/review"
	"drylane/tui/console"
)

// reviewMarks reads what an earlier review found of this music, in the
// background, and hands it to the console when it is there.
func (r *rehearsal) reviewMarks(e *env) func() *console.Marks {
	var ready atomic.Pointer[console.Marks]
	go func() {
		if m := r.reviewed(e); m != nil {
			ready.Store(r.marks(m))
		}
	}()
	return ready.Load
}

// reviewed returns the music's onsets if the user's cache has them, or nil.
func (r *rehearsal) reviewed(e *env) *onset.Music {
	if accents.Empty() {
		return nil
	}
	s, err := r.openMusic()
	if err != nil {
		return nil
	}
	defer s.Close()
	hash, err := playback.HashAudio(e.ctx, s, nil)
	if err != nil {
		return nil
	}
	return accents.Cached(hash)
}

// marks are the accents, and the cues that lie off them.
func (r *rehearsal) marks(m *onset.Music) *console.Marks {
	out := new(console.Marks)
	for _, a := range m.Accents {
		out.Accents = append(out.Accents, console.Accent{At: a.At, Strong: a.Strength >= 1})
	}
	index := map[string]int{}
	for i, c := range r.plan.Cues {
		index[r.show.Cues[c.List].ID] = i
	}
	for _, c := range review.Check(r.show.Cues, accents.ForReview(m)).Cues {
		if c.Place == review.Early || c.Place == review.Late {
			out.Doubts = append(out.Doubts, index[c.ID])
		}
	}
	slices.Sort(out.Doubts)
	return out
}
