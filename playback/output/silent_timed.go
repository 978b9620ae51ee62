package output

import "time"

// Sounding implements Timed.
func (s *silent) Sounding(at time.Time) (int64, bool) {
	if s.failed() != nil || !s.playing || s.speed == 0 {
		return 0, false
	}
	s.follow()
	return s.at + s.passed(at.Sub(s.since)), true
}

// Soonest implements Timed: now.
func (s *silent) Soonest() (time.Time, error) { return s.now(), s.failed() }

// StartAt implements Timed.
func (s *silent) StartAt(at time.Time) error {
	if err := s.failed(); err != nil || s.playing {
		return err
	}
	s.playing, s.at, s.since = true, s.heard, at
	s.follow()
	return nil
}

// CanHold implements Timed.
func (s *silent) CanHold(frame int64) (int64, error) {
	h, err := s.Heard()
	return max(h, min(frame, s.written)), err
}

// HoldAt implements Timed. What lies between now and the frame is passed over:
// nobody hears it.
func (s *silent) HoldAt(frame int64) (int64, error) {
	h, err := s.CanHold(frame)
	if err != nil {
		return h, err
	}
	s.playing, s.heard, s.base, s.written = false, h, h, h
	s.setLatency()
	return h, nil
}
