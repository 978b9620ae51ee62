package crew

import (
	"sync"
	"time"

	"github.com/nats-io/nats.go"
)

// Holds are the HOLDs that members called for and the run has not been told of. There
// is one place for each machine, so that none can fill the others', and the latest
// stands in it: none is lost, and none is handed on more often than every holdGap.
type holds struct {
	wake chan struct{}

	mu   sync.Mutex
	list map[string]*called
}

type called struct {
	data   []byte
	at     time.Time // when the latest came in; zero: it was handed on
	handed time.Time // when the one before was
	since  time.Time // the second in which they are counted
	n      int
}

// put notes a HOLD of a machine, and reports whether it is one too many in this
// second: once for each.
func (h *holds) put(id string, data []byte, at time.Time) (flood bool) {
	h.mu.Lock()
	if h.list == nil {
		h.list = map[string]*called{}
	}
	c := h.list[id]
	if c == nil {
		c = &called{}
		h.list[id] = c
	}
	c.data, c.at = data, at
	if at.Sub(c.since) > time.Second {
		c.since, c.n = at, 0
	}
	c.n++
	flood = c.n == mostASec
	h.mu.Unlock()
	select {
	case h.wake <- struct{}{}:
	default:
	}
	return flood
}

// take calls do for each HOLD that is due to be handed on.
func (h *holds) take(now time.Time, do func(id string, data []byte, at time.Time)) {
	type due struct {
		id   string
		data []byte
		at   time.Time
	}
	var list []due
	h.mu.Lock()
	for id, c := range h.list {
		if !c.at.IsZero() && now.Sub(c.handed) >= holdGap {
			list = append(list, due{id, c.data, c.at})
			c.at, c.handed = time.Time{}, now
		}
	}
	h.mu.Unlock()
	for _, d := range list {
		do(d.id, d.data, d.at)
	}
}

// hearHold notes a HOLD. It comes on a subscription of its own.
func (l *Lead) hearHold(m *nats.Msg) {
	if id := sender(m); l.holds.put(id, m.Data, time.Now()) {
		l.door.sendAway(id) // what it called for stands
	}
}
