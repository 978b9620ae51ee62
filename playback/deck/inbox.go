package deck

import (
	"slices"
	"sync"
	"time"

	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/show/timebase"
)

// A request is something asked of the loop.
type request struct {
	at    time.Time // when; zero for what takes its turn as it comes in
	do    show.ScriptAction
	by    show.By       // who asks for it; nobody: the shooter
	crew  *session.Data // something to log of the crew; with a step, who asks for it
	heard timebase.Frame
	gain  *[2]float64
	step  *drill.Step
	quit  bool

	listen *int
	opened *opened
	failed show.Cause
}

// stops reports whether nothing may run once the request has been taken.
func (r request) stops() bool {
	switch {
	case r.step != nil:
		return r.step.Do == drill.Over
	case r.quit, r.failed != show.NoCause:
		return true
	}
	return r.do.Kind == show.KindCommand && isStop(r.do.Command)
}

func isStop(c show.Command) bool { return c.Action == show.Hold || c.Action == show.Cut }

// An inbox holds what was asked for, in the order in which it was, until the
// loop takes it. It never blocks and never drops: the cut may be the last thing
// in it.
type inbox struct {
	mu   sync.Mutex
	list []request
	wake chan struct{}
}

// put puts a request behind all that was asked for no later than it.
func (b *inbox) put(r request) {
	b.mu.Lock()
	i := len(b.list)
	if r.at.IsZero() && i > 0 {
		r.at = b.list[i-1].at
	}
	for i > 0 && b.list[i-1].at.After(r.at) {
		i--
	}
	b.list = slices.Insert(b.list, i, r)
	b.mu.Unlock()
	b.poke()
}

// poke wakes the loop.
func (b *inbox) poke() {
	select {
	case b.wake <- struct{}{}:
	default:
	}
}

// take takes the earliest request. ok is false when there is none.
func (b *inbox) take() (r request, ok bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if len(b.list) == 0 {
		return r, false
	}
	r = b.list[0]
	b.list = slices.Delete(b.list, 0, 1)
	return r, true
}

// stopWaits reports whether a request that stops the run is still to be taken.
func (b *inbox) stopWaits() bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	return slices.ContainsFunc(b.list, request.stops)
}
