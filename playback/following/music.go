package following

import (
	"sync/atomic"

	"drylane/playback/ear"
	"drylane/playback/follow"
)

// heard follows music by ear. A goroutine of its own makes the soundtrack ready and looks
// blocks up in it, so that nobody waits for either; in a run without a clock all do.
type heard struct {
	follower *ear.Follower // nil before the soundtrack is ready
	skipped  float64       // frames that came before
	now      *ear.Searcher // in a run without a clock
	ready    chan *ear.Follower
	jobs     chan *ear.Search // there is one Search: neither of the two is ever waited for
	done     chan *ear.Search
	failed   atomic.Pointer[error] // why the soundtrack is never ready
}

// newHeard follows the music of p in sound of a rate. What comes in from a device or through
// a pipe is not waited for; a file waits.
func (p Place) newHeard(rate int, live bool) (*heard, error) {
	h := &heard{ready: make(chan *ear.Follower, 1), jobs: make(chan *ear.Search, 1), done: make(chan *ear.Search, 1)}
	if live && p.Now != nil {
		go h.prepare(p, rate)
		return h, nil
	}
	f, r, err := p.ear(rate)
	if err != nil {
		return nil, err
	}
	if h.follower = f; p.Now == nil {
		h.now = r
	} else {
		go h.search(r)
	}
	return h, nil
}

// ear makes the soundtrack ready.
func (p Place) ear(rate int) (*ear.Follower, *ear.Searcher, error) {
	m, err := p.Music()
	if err != nil {
		return nil, nil, err
	}
	f, err := ear.New(ear.Config{SampleRate: rate, Music: m})
	return f, ear.NewSearcher(m), err
}

func (h *heard) prepare(p Place, rate int) {
	f, r, err := p.ear(rate)
	if err != nil {
		h.failed.Store(&err)
		return
	}
	h.ready <- f
	h.search(r)
}

func (h *heard) search(r *ear.Searcher) {
	for s := range h.jobs {
		r.Run(s)
		h.done <- s
	}
}

// Write takes in what came next. What comes before the soundtrack is ready tells nothing.
func (h *heard) Write(frames [][2]float64) {
	if h.follower == nil {
		select {
		case h.follower = <-h.ready:
		default:
			h.skipped += float64(len(frames))
			return
		}
	}
	h.follower.Write(frames)
	select {
	case s := <-h.done:
		h.follower.Found(s)
	default:
	}
	switch s := h.follower.Job(); {
	case s == nil:
	case h.now != nil:
		h.now.Run(s)
		h.follower.Found(s)
	default:
		h.jobs <- s
	}
}

// At tells how the following stands at a frame.
func (h *heard) At(sample float64) follow.Now {
	if h.follower == nil {
		return follow.Now{Music: true, Why: follow.Preparing, Speed: 1}
	}
	return h.follower.At(sample - h.skipped)
}

// Pass tells that nothing has come in up to a frame.
func (h *heard) Pass(sample float64) {
	if h.follower != nil {
		h.follower.Pass(sample - h.skipped)
	}
}

// Sample is how many frames have come in.
func (h *heard) Sample() float64 {
	if h.follower == nil {
		return h.skipped
	}
	return h.skipped + h.follower.Sample()
}

// Err is why the music cannot be followed.
func (h *heard) Err() error {
	if err := h.failed.Load(); err != nil {
		return *err
	}
	return nil
}

// Close ends the goroutine once it has made the soundtrack ready.
func (h *heard) Close() { close(h.jobs) }
