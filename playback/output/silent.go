package output

import (
	"math"
	"math/bits"
	"sync/atomic"
	"time"

	"drylane/playback"
)

// silent plays nothing at the pace of a clock.
type silent struct {
	opts  Options
	err   error // of the options
	now   func() time.Time
	speed uint64 // millionths

	playing              bool
	base, heard, written int64 // base: where the last hold was
	at                   int64 // frame heard at the moment since
	since                time.Time

	latency, underruns atomic.Int64
	closed             bool
}

// Silent returns an output that plays in silence: now tells the time, and
// frames count as heard at o.Speed times its pace, or at once if Speed is 0. It
// stands still when it has nothing left to play.
func Silent(o Options, now func() time.Time) playback.Output {
	o, err := o.checked()
	return &silent{opts: o, err: err, now: now, speed: uint64(math.Round(o.Speed * 1e6))}
}

func (s *silent) Name() string { return "silence" }

// Soundless makes it a playback.Soundless.
func (s *silent) Soundless() {}

func (s *silent) Latency() time.Duration { return time.Duration(s.latency.Load()) }
func (s *silent) Underruns() int         { return int(s.underruns.Load()) }

func (s *silent) failed() error {
	if s.closed {
		return errClosed
	}
	return s.err
}

// follow brings heard up to date. From where the queue ran dry time is not
// made up for.
func (s *silent) follow() {
	if !s.playing {
		return
	}
	now := s.now()
	pos := s.written
	if s.speed != 0 {
		pos = s.at + s.passed(now.Sub(s.since))
	}
	if pos >= s.written {
		pos, s.at, s.since = s.written, s.written, now
	}
	s.heard = max(s.heard, pos)
	s.setLatency()
}

// passed is how many frames pass in d: d * rate * speed, rounded down, whole in
// 128 bits.
func (s *silent) passed(d time.Duration) int64 {
	const units = uint64(time.Second) * 1e6
	hi, lo := bits.Mul64(uint64(max(0, d)), uint64(s.opts.Rate)*s.speed)
	if hi >= units {
		return math.MaxInt64 / 2
	}
	n, _ := bits.Div64(hi, lo, units)
	return int64(min(n, math.MaxInt64/2))
}

func (s *silent) setLatency() {
	if s.speed != 0 {
		s.latency.Store(int64(float64(duration(s.written-s.heard, s.opts.Rate)) / s.opts.Speed))
	}
}

func (s *silent) Space() int {
	if s.failed() != nil {
		return 0
	}
	s.follow()
	return int(max(0, s.opts.space()-(s.written-s.heard)))
}

func (s *silent) Write(frames [][2]float64) error {
	if err := s.failed(); err != nil {
		return err
	}
	if space := s.Space(); len(frames) > space {
		return tooMany(len(frames), space)
	}
	if len(frames) > 0 && s.playing && s.speed != 0 && s.heard == s.written && s.written > s.base {
		s.underruns.Add(1)
	}
	s.written += int64(len(frames))
	s.follow()
	s.setLatency()
	return nil
}

func (s *silent) Start() error {
	if err := s.failed(); err != nil || s.playing {
		return err
	}
	s.playing, s.at, s.since = true, s.heard, s.now()
	s.follow()
	return nil
}

func (s *silent) Heard() (int64, error) {
	if err := s.failed(); err != nil {
		return s.heard, err
	}
	s.follow()
	return s.heard, nil
}

func (s *silent) Hold() (int64, error) {
	h, err := s.Heard()
	if err != nil {
		return h, err
	}
	s.playing, s.base, s.written = false, h, h
	s.setLatency()
	return h, nil
}

func (s *silent) Close() error {
	s.playing, s.closed = false, true
	return nil
}
