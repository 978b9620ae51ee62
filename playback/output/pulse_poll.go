package output

import (
	"errors"
	"time"

	"github.com/jfreymuth/pulse/proto"
)

const (
	// pollEvery is how often the server is asked for its position.
	pollEvery = 10 * time.Millisecond

	// silence is how much of it is kept queued while no music plays.
	silence = 80 * time.Millisecond
)

// poll keeps the clock supplied with readings, and the stream with silence
// while no music plays, until Close.
func (p *pulse) poll() {
	defer p.ending.Done()
	ticker := time.NewTicker(pollEvery)
	defer ticker.Stop()
	for {
		if err := p.tend(); err != nil {
			p.lose(err.Error())
			return
		}
		select {
		case <-p.done:
			return
		case <-ticker.C:
		}
	}
}

func (p *pulse) tend() error {
	p.feed.Lock()
	defer p.feed.Unlock()
	at, err := p.ask()
	if err != nil || p.placed {
		return err
	}
	short := at.read + frames(silence, p.rate) - p.sent
	if short <= 0 {
		return nil
	}
	return p.send(p.sent, make([][2]float32, short))
}

// slowAnswer is how long an answer may take that is to tell the time.
const slowAnswer = 5 * time.Millisecond

// A place is where the server is in the stream, in device frames: what comes
// before read may no longer change.
type place struct {
	asked time.Duration // since the output's epoch
	read  int64
}

// ask asks the server where it is and gives the clock a reading.
func (p *pulse) ask() (place, error) {
	p.asking.Lock()
	defer p.asking.Unlock()
	return p.query()
}

func (p *pulse) query() (place, error) {
	var reply proto.GetPlaybackLatencyReply
	before := time.Since(p.epoch)
	if err := p.client.Request(&proto.GetPlaybackLatency{StreamIndex: p.stream}, &reply); err != nil {
		return place{}, err
	}
	after := time.Since(p.epoch)
	read, write := reply.ReadIndex/frameBytes, reply.WriteIndex/frameBytes
	if reply.Running {
		p.sink.Store(int64(time.Duration(reply.Latency) * time.Microsecond))
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.asleep.Load() {
		return place{before, read}, nil
	}
	r := reading{at: (before + after) / 2, pos: read - p.inDevice(&reply), limit: max(read, write)}
	p.clock.add(r)
	if played := reply.PlayingFor; played == 0 || played < p.since { // it has run dry
		p.line = line{rate: p.rate}
	}
	if p.since = reply.PlayingFor; p.since > 0 && after-before < slowAnswer {
		p.line.add(r)
	}
	return place{before, read}, nil
}

// send puts frames into the server's queue at position at, over what is there;
// the queue then ends with them.
func (p *pulse) send(at int64, frames [][2]float32) error {
	if len(frames) == 0 {
		return nil
	}
	p.sent = at + int64(len(frames))
	return p.wire.data(p.stream, at, frames)
}

// sendAsking is send, and returns the position from which the device got these
// frames: at, or later if the server has read further by the time they are there.
// It asks before and after, in one message with them: the device got them from
// somewhere between from and last. Where these are the same it is sure.
func (p *pulse) sendAsking(at int64, frames [][2]float32) (from, last int64, err error) {
	if len(frames) == 0 {
		return at, at, nil
	}
	p.asking.Lock()
	defer p.asking.Unlock()
	type answer struct {
		place
		error
	}
	answers := make(chan answer, 2)
	query := func() {
		a, err := p.query()
		answers <- answer{a, err}
	}
	p.wire.hold()
	go query()
	<-p.wire.packet
	err = p.send(at, frames)
	go query()
	<-p.wire.packet
	err = errors.Join(err, p.wire.release())
	one, two := <-answers, <-answers
	err = errors.Join(err, one.error, two.error)
	return max(at, min(one.read, two.read)), max(at, one.read, two.read), err
}

// inDevice is how many frames of the stream the server has read and not yet
// sounded. Its Latency also covers silence that it filled in when the stream
// ran dry: since then only what has come after counts, and while dry the rest
// shrinks. Before the first frame the figures mean nothing.
func (p *pulse) inDevice(r *proto.GetPlaybackLatencyReply) int64 {
	held := frames(time.Duration(r.Latency)*time.Microsecond, p.rate)
	if r.PlayingFor > 0 {
		return min(held, int64(r.PlayingFor/frameBytes))
	}
	return max(0, held-int64(min(r.UnderrunFor/frameBytes, 1<<40)))
}
