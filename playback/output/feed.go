package output

import (
	"encoding/binary"
	"fmt"
	"math"
	"sync"
	"sync/atomic"
	"time"

	"drylane/playback"
)

// A feed is an output for a device that pulls: it asks for frames through Read
// on a goroutine of its own, buffers them, and tells only how many bytes one of
// its buffers holds. Everything not asked for yet stays here, so that a hold
// can fade it; what the device has sounds on, which is why it must hold little.
//
// The stream that Read gives never ends; without music it is silence.
type feed struct {
	opts     Options
	rate     int          // the device's
	device   int64        // frames that the device holds beyond its buffer, at most
	buffered func() int   // bytes in the device's buffer
	broken   func() error // the device's failure, nil while it works
	now      func() time.Time
	epoch    time.Time
	closed   bool

	mu        sync.Mutex
	render    *render
	playing   bool
	taken     int64        // render's device frames that Read has given
	tail      [][2]float32 // the fade-out that Read has yet to give
	handed    int64        // stream frames that Read has given
	confirmed int64        // of these, those that are in the device's buffer by now
	lastRead  time.Time
	dry       bool
	spans     timeline
	clock     clock
	heard     int64 // soundtrack frames
	passed    int64 // render's device frames that have left the device

	latency, underruns atomic.Int64
}

// stalled is how long a device may go without asking for frames.
const stalled = time.Second

func newFeed(o Options, rate int, device time.Duration, now func() time.Time) (*feed, error) {
	r, err := newRender(o.Rate, rate)
	if err != nil {
		return nil, err
	}
	f := &feed{opts: o, rate: rate, device: frames(device, rate), render: r, now: now, epoch: now(), lastRead: now()}
	f.clock = clock{rate: rate, keep: max(0, o.Latency)}
	f.buffered = func() int { return 0 }
	f.broken = func() error { return nil }
	f.latency.Store(int64(device + o.Latency))
	return f, nil
}

// Read gives the device the next frames, at most 4 ms so that they can be
// followed closely.
func (f *feed) Read(p []byte) (int, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.confirmed, f.lastRead = f.handed, f.now()
	n := min(int64(len(p)/frameBytes), frames(4*time.Millisecond, f.rate))
	out := f.take(n)
	for i, s := range out {
		binary.LittleEndian.PutUint32(p[i*frameBytes:], math.Float32bits(s[0]))
		binary.LittleEndian.PutUint32(p[i*frameBytes+4:], math.Float32bits(s[1]))
	}
	f.handed += int64(len(out))
	return len(out) * frameBytes, nil
}

// take takes up to n frames: of a fade-out, of music, or else silence.
func (f *feed) take(n int64) [][2]float32 {
	if k := min(n, int64(len(f.tail))); k > 0 {
		out := f.tail[:k]
		f.tail = f.tail[k:]
		return out
	}
	if f.playing {
		if f.render.out.end()-f.taken < n {
			f.render.drain()
		}
		if k := min(n, f.render.out.end()-f.taken); k > 0 {
			f.spans.add(span{f.handed, f.taken, k})
			f.taken += k
			return f.render.out.slice(f.taken-k, f.taken)
		}
		f.dry = true
	}
	return make([][2]float32, n)
}

// follow brings heard up to date: what was handed over less what the device
// may still hold, never more.
func (f *feed) follow() {
	if !f.playing {
		return
	}
	pos := f.confirmed - int64(f.buffered()/frameBytes) - f.device
	now := f.now().Sub(f.epoch)
	f.clock.add(reading{at: now, pos: pos, limit: pos})
	f.passed = max(f.passed, f.spans.music(pos))
	if ear, ok := f.clock.at(now - f.opts.Latency); ok {
		f.heard = max(f.heard, f.render.sound(f.spans.music(ear)))
		f.spans.forget(min(ear, pos))
	}
	f.setLatency()
	f.render.forget(f.passed)
}

func (f *feed) queued() int64 { return f.render.written - f.render.sound(f.passed) }

func (f *feed) setLatency() {
	l := duration(f.queued(), f.opts.Rate) + f.opts.Latency
	if !f.playing {
		l += duration(f.device+int64(f.buffered()/frameBytes), f.rate)
	}
	f.latency.Store(int64(l))
}

// failed is the reason why nothing can be played any more, or nil.
func (f *feed) failed() error {
	if f.closed {
		return errClosed
	}
	if err := f.broken(); err != nil {
		return fmt.Errorf("%w: %w", playback.ErrDeviceGone, err)
	}
	if f.playing && f.now().Sub(f.lastRead) > stalled {
		return fmt.Errorf("%w: it has asked for no sound for a second", playback.ErrDeviceGone)
	}
	return nil
}
