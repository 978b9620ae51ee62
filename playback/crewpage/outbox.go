package crewpage

import "sync"

// An outbox is what a page is to be told and has not been yet. Of what there is a newer
// one of, only that is kept; of answers, which are all of use, the latest few.
type outbox struct {
	wake chan struct{}

	mu     sync.Mutex
	latest map[string][]byte
	order  []string // of latest: what came first is told first
	queue  [][]byte
}

func newOutbox() *outbox { return &outbox{wake: make(chan struct{}, 1), latest: map[string][]byte{}} }

// replaced are the words of which only the latest counts.
var replaced = map[string]bool{"state": true, "crew": true, "cues": true, "own": true, "clock": true}

// put takes what the lead tells. It returns at once.
func (o *outbox) put(what string, data []byte) {
	line := lineOf(what, data)
	o.mu.Lock()
	if replaced[what] {
		if o.latest[what] == nil {
			o.order = append(o.order, what)
		}
		o.latest[what] = line
	} else {
		o.queue = append(o.queue, line)
		o.queue = o.queue[max(0, len(o.queue)-mostAnswers):]
	}
	o.mu.Unlock()
	select {
	case o.wake <- struct{}{}:
	default:
	}
}

// lineOf is a line of the stream. data is JSON as the lead wrote it, which has no line
// ends in it.
func lineOf(what string, data []byte) []byte {
	line := append([]byte(`{"`+what+`":`), data...)
	return append(line, '}', '\n')
}

// take returns what waits.
func (o *outbox) take() (lines []byte) {
	o.mu.Lock()
	defer o.mu.Unlock()
	for _, line := range o.queue {
		lines = append(lines, line...)
	}
	for _, what := range o.order {
		lines = append(lines, o.latest[what]...)
	}
	o.queue, o.order = nil, o.order[:0]
	clear(o.latest)
	return lines
}
