package accents

import (
	"slices"
	"sync"
	"sync/atomic"

	"drylane/playback/folder"
	"drylane/playback/listen"
	"drylane/playback/onset"
	"drylane/show"
	"drylane/show/review"
	"drylane/show/timebase"
)

// Marks are what a review leaves on a screen: the accents, and the cues that lie
// off them.
type Marks struct {
	Accents []Mark
	Doubts  []int // places in the plan, in order
}

// A Mark is an accent of the music.
type Mark struct {
	At     timebase.Frame
	Strong bool
}

// Earlier reads what an earlier review found of a show's music, in the background from
// start on. marks returns it once it is there, else nil. Both are safe to call from any
// goroutine.
func Earlier(f *folder.Folder, plan *show.Plan) (start func(), marks func() *Marks) {
	var ready atomic.Pointer[Marks]
	start = sync.OnceFunc(func() {
		go func() {
			if o := new(listen.Onsets); listen.Kept(f.SHA256, o) {
				ready.Store(marksOf(o.Music, f.Show.Cues, plan))
			}
		}()
	})
	return start, ready.Load
}

func marksOf(m *onset.Music, cues []show.Cue, plan *show.Plan) *Marks {
	out := new(Marks)
	for _, a := range m.Accents {
		out.Accents = append(out.Accents, Mark{At: a.At, Strong: a.Strength >= 1})
	}
	index := map[string]int{}
	for i, c := range plan.Cues {
		index[cues[c.List].ID] = i
	}
	for _, c := range review.Check(cues, ForReview(m)).Cues {
		if c.Place == review.Early || c.Place == review.Late {
			out.Doubts = append(out.Doubts, index[c.ID])
		}
	}
	slices.Sort(out.Doubts)
	return out
}
