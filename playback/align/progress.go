package align

import "sync"

// A progress adds up parts of one piece of work and reports the sum.
type progress struct {
	mu     sync.Mutex
	report func(float64)
	done   float64
}

func newProgress(report func(float64)) *progress { return &progress{report: report} }

// part returns a function that reports steps of a part of the work: each call
// adds its share (0..1) of the part. It is safe from any goroutine.
func (p *progress) part(size float64) func(share float64) {
	return func(share float64) { p.add(size * share) }
}

func (p *progress) add(d float64) {
	if p.report == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	// Skipped parts make the sum end below 1 and rounding may carry it past.
	p.done = min(p.done+d, 1)
	p.report(p.done)
}

// finish reports that all is done.
func (p *progress) finish() { p.add(1) }
