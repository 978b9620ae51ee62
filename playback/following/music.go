package following

import (
	"drylane/playback/ear"
	"drylane/playback/locate"
)

// heard follows music by ear. Blocks are looked up by a goroutine of its own, so that
// nobody waits for them; but in a run without a clock, which waits for all.
type heard struct {
	*ear.Follower
	now  *ear.Searcher // in a run without a clock
	jobs chan *ear.Search
	done chan *ear.Search
}

func newHeard(rate int, m *locate.Music, fast bool) (*heard, error) {
	f, err := ear.New(ear.Config{SampleRate: rate, Music: m})
	if err != nil {
		return nil, err
	}
	h := &heard{Follower: f}
	if fast {
		h.now = ear.NewSearcher(m)
		return h, nil
	}
	h.jobs, h.done = make(chan *ear.Search, 1), make(chan *ear.Search, 1) // there is one Search
	go h.search(ear.NewSearcher(m))
	return h, nil
}

func (h *heard) search(r *ear.Searcher) {
	for s := range h.jobs {
		r.Run(s)
		h.done <- s
	}
}

func (h *heard) Write(frames [][2]float64) {
	h.Follower.Write(frames)
	select {
	case s := <-h.done:
		h.Found(s)
	default:
	}
	switch s := h.Job(); {
	case s == nil:
	case h.now != nil:
		h.now.Run(s)
		h.Found(s)
	default:
		h.jobs <- s
	}
}

func (h *heard) Close() {
	if h.jobs != nil {
		close(h.jobs)
		h.jobs = nil
	}
}
