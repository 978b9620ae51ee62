package output

import "time"

// Sounding implements Timed.
func (p *pulse) Sounding(at time.Time) (int64, bool) {
	if p.failed() != nil || !p.playing || !p.placed {
		return 0, false
	}
	p.mu.Lock()
	pos, ok := p.line.at(at.Sub(p.epoch) - p.opts.Latency)
	p.mu.Unlock()
	return p.render.frame(pos), ok
}

// Soonest implements Timed. It leaves the server time for one step more than
// StartAt itself needs.
func (p *pulse) Soonest() (time.Time, error) {
	if err := p.failed(); err != nil {
		return time.Time{}, err
	}
	at, err := p.ask()
	if err != nil {
		p.lose(err.Error())
		return time.Time{}, p.failed()
	}
	pos := max(p.render.start, at.read+p.margin(startInTime)+p.oneStep())
	p.mu.Lock()
	when, ok := p.line.when(pos)
	p.mu.Unlock()
	if !ok { // it has just run dry: what it has read sounds after what it holds
		when = at.asked + duration(pos-at.read, p.rate) + time.Duration(p.sink.Load())
	}
	return p.epoch.Add(when + p.opts.Latency), nil
}

// askInTime is how long it may take to ask two outputs where both can hold.
const askInTime = 3 * time.Millisecond

// oneStep is how much the server reads in one go, in device frames.
func (p *pulse) oneStep() int64 { return frames(min(p.step, mostStep), p.rate) }

// StartAt implements Timed.
func (p *pulse) StartAt(at time.Time) error {
	if err := p.failed(); err != nil || p.playing {
		return err
	}
	p.mu.Lock()
	want, ok := p.line.at(at.Sub(p.epoch) - p.opts.Latency)
	p.mu.Unlock()
	if ok {
		p.want = want
	}
	return p.Start()
}

// CanHold implements Timed. It leaves the server time for one step more than
// HoldAt itself needs, and the caller some to ask another output.
func (p *pulse) CanHold(frame int64) (int64, error) {
	if err := p.failed(); err != nil {
		return p.heard, err
	}
	p.follow()
	if !p.placed {
		return p.heard, nil
	}
	at, err := p.ask()
	if err != nil {
		p.lose(err.Error())
		return p.heard, p.failed()
	}
	from := max(at.read, p.passed) + p.margin(holdInTime) + p.oneStep() + frames(askInTime, p.rate)
	return p.render.sound(p.render.stop(max(p.render.start, from), frame)), nil
}

// HoldAt implements Timed.
func (p *pulse) HoldAt(frame int64) (int64, error) { return p.hold(frame) }
