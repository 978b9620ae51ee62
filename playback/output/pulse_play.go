package output

import (
	"errors"
	"time"

	"drylane/playback"
)

// The server's queue may be changed from a margin ahead of what it has read:
// more than it reads in one go, so that one such step between its answer and
// our data does no harm, and as long again as our data may take on a busy
// machine. Music has to end soon, but has time to begin.
const (
	holdInTime  = 6 * time.Millisecond
	leastInTime = 2 * time.Millisecond // dared where the music is to end at a given frame
	startInTime = 25 * time.Millisecond
	mostStep    = 20 * time.Millisecond
)

func (p *pulse) margin(inTime time.Duration) int64 {
	return frames(min(p.step, mostStep)+inTime, p.rate)
}

// lookahead is how little may be queued for the device to read before the
// frames that the resampler holds back for want of what follows are played
// without it.
const lookahead = 15 * time.Millisecond

// follow brings heard up to date.
func (p *pulse) follow() {
	if !p.playing {
		return
	}
	now := time.Since(p.epoch)
	p.mu.Lock()
	device, ok := p.clock.at(now)
	ear, okEar := p.clock.at(now - p.opts.Latency)
	p.mu.Unlock()
	if ok && device > p.passed {
		p.passed, p.moved = device, now
	}
	if okEar {
		p.heard = max(p.heard, p.render.sound(ear))
	}
	p.countUnderrun()
	p.setLatency()
	p.render.forget(p.passed)
}

// countUnderrun counts a place where the server ran dry in the middle of the
// music: more has been sent after it. It is no underrun when the music ends.
func (p *pulse) countUnderrun() {
	at := p.ranDry.Load() / frameBytes
	if p.placed && at > max(p.render.start, p.counted) && at < p.sent {
		p.counted = at
		p.underruns.Add(1)
	}
}

// finish sees to the end of the music. When the device is about to run dry it
// plays the frames that the resampler holds back for want of what follows. And
// where the server will not play a rest shorter than its step (PipeWire), it
// lets silence follow.
func (p *pulse) finish() {
	if !p.placed {
		return
	}
	left := p.sent - p.passed
	stuck := left > 0 && left < frames(mostRest, p.rate) && time.Since(p.epoch)-p.moved > standing
	low := left < frames(lookahead+time.Duration(p.sink.Load()), p.rate)
	switch drained := p.render.drained(); {
	case !drained && (stuck || low && p.reallyLow()):
		p.render.drain()
		p.flush()
	case drained && stuck:
		p.coast()
	}
}

// reallyLow asks the server whether it is about to run dry. A clock that has been
// carried on for want of readings says so too early on a busy machine, and frames
// that are played without what follows them are not those of the music.
func (p *pulse) reallyLow() bool {
	at, err := p.ask()
	if err != nil {
		p.lose(err.Error())
		return false
	}
	return p.sent-at.read < frames(lookahead, p.rate)
}

// The device stands still for standing, with no more than mostRest of music
// left, before silence is to push it.
const (
	standing = 60 * time.Millisecond
	mostRest = 50 * time.Millisecond
)

// coast feeds silence after the music. If music follows after all, there has
// been a gap, and it is placed anew.
func (p *pulse) coast() {
	p.coasting = true
	p.feed.Lock()
	p.placed = false
	p.feed.Unlock()
}

// queued is how many soundtrack frames are written and not past the device.
func (p *pulse) queued() int64 { return p.render.written - p.render.sound(p.passed) }

func (p *pulse) setLatency() {
	l := duration(p.queued(), p.opts.Rate) + p.opts.Latency
	if !p.placed {
		l += time.Duration(p.sink.Load())
	}
	p.latency.Store(int64(l))
}

func (p *pulse) Space() int {
	if p.failed() != nil {
		return 0
	}
	p.follow()
	return p.space()
}

func (p *pulse) space() int { return int(max(0, p.opts.space()-p.queued())) }

func (p *pulse) Write(frames [][2]float64) error {
	if err := p.failed(); err != nil {
		return err
	}
	p.follow()
	if space := p.space(); len(frames) > space {
		return tooMany(len(frames), space)
	}
	if p.coasting && len(frames) > 0 {
		p.coasting = false
		p.underruns.Add(1)
		p.render.resume()
	}
	p.render.write(frames)
	p.setLatency()
	if p.playing {
		p.flush()
	}
	return p.failed()
}

func (p *pulse) Start() error {
	if err := p.failed(); err != nil {
		return err
	}
	p.playing = true
	p.flush()
	return p.failed()
}

func (p *pulse) Heard() (int64, error) {
	if err := p.failed(); err != nil {
		return p.heard, err
	}
	p.follow()
	p.finish()
	return p.heard, p.failed()
}

// Hold changes what the server has queued but not yet read into a fade and
// silence. What it has read is in the device's buffer and sounds on.
func (p *pulse) Hold() (int64, error) { return p.hold(0) }

// hold is Hold at a frame, or as soon after it as can be.
func (p *pulse) hold(frame int64) (int64, error) {
	if err := p.failed(); err != nil {
		return p.heard, err
	}
	p.follow()
	p.render.drain()
	stop := p.render.start
	if p.coasting {
		stop = p.render.out.end()
	} else if p.placed {
		var err error
		if stop, err = p.rewrite(frame); err != nil {
			p.lose(err.Error())
			return p.heard, p.failed()
		}
	}
	p.playing, p.coasting = false, false
	p.feed.Lock()
	p.placed = false
	p.feed.Unlock()
	p.heard = p.render.hold(stop)
	p.setLatency()
	return p.heard, nil
}

// furthest is how far ahead music can be placed in the stream.
const furthest = 2 * time.Second

// flush sends what has been rendered and not yet sent. The first frames after
// a start go over the silence in the queue, as near as they can.
func (p *pulse) flush() {
	if p.coasting || len(p.render.out.frames) == 0 {
		return
	}
	var err error
	if p.placed {
		err = p.send(p.sent, p.render.out.slice(p.sent, p.render.out.end()))
	} else {
		err = p.place()
	}
	if err != nil {
		p.lose(err.Error())
	}
}

// place puts the first frames of a segment into the stream: as soon as it can,
// or where they are wanted, with silence up to there. Where the server
// has been faster than the margin, and so would leave out their beginning, they
// are put further on.
func (p *pulse) place() error {
	p.feed.Lock()
	defer p.feed.Unlock()
	at, err := p.ask()
	if err != nil {
		return err
	}
	want := min(p.want, at.read+frames(furthest, p.rate))
	ahead := duration(max(0, want-at.read), p.rate)
	p.placed, p.want, p.moved = true, -1, time.Since(p.epoch)+p.opts.Buffer+ahead
	read, silence, first := at.read, p.sent, int64(-1)
	for range 5 {
		p.render.move(max(p.render.start, want, min(read+p.margin(startInTime), silence)))
		start := p.render.start
		if first < 0 {
			first = min(start, p.sent)
		}
		lead := make([][2]float32, start-first)
		from, _, err := p.sendAsking(first, append(lead, p.render.out.frames...))
		if err != nil || from <= start {
			return err
		}
		first, read, silence = start, from, from+p.margin(startInTime)
	}
	return errors.New("the sound server keeps falling behind")
}

// rewrite makes the stream end before soundtrack frame frame, or as early after
// it as it can, and returns where. Where the server has been faster than the
// margin, or has read all there is, the music ends late or without a whole fade,
// but what is returned holds.
func (p *pulse) rewrite(frame int64) (stop int64, err error) {
	at, err := p.ask()
	if err != nil {
		return 0, err
	}
	from, stop := p.ends(max(at.read, p.passed), frame)
	got, last, err := p.sendAsking(from, p.render.ending(from, stop, max(stop, p.sent)))
	if last > from || stop > p.render.start && from > stop-p.render.length {
		p.late++
	}
	if !p.takesBack {
		got = last // the server reads between the answer and the data rather than after them
	}
	return min(max(stop, got), p.render.out.end()), err
}

// ends returns from which device frame on the stream is to be written anew, for
// music that the server has read up to read to end at soundtrack frame frame, and
// where it then ends.
func (p *pulse) ends(read, frame int64) (from, stop int64) {
	from = max(p.render.start, min(read+p.margin(holdInTime), p.sent))
	if wanted := p.render.stop(p.render.start, frame); frame > p.render.base {
		early := max(p.render.start, wanted-p.render.length)
		from = max(min(from, early), min(from, read+frames(leastInTime, p.rate)))
	}
	stop = p.render.stop(from, frame)
	return min(from, stop), stop
}

var _ playback.Output = (*pulse)(nil)
