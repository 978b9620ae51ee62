package playback

import "fmt"

// Silence is a beep.StreamSeeker of frames without sound.
//
// Neither beep.Silence nor beep.Take around it can seek or tells a length, and a
// beep.Buffer, which can, keeps every frame: an hour at 48 kHz took 173 MB at one
// byte a sample and 5 s to fill (measured, v1.1.0).
type Silence struct{ pos, length int }

// NewSilence returns a silence of that many frames.
func NewSilence(length int) *Silence { return &Silence{length: length} }

// Stream implements beep.StreamSeeker.
func (s *Silence) Stream(samples [][2]float64) (n int, ok bool) {
	n = min(len(samples), s.length-s.pos)
	clear(samples[:n])
	s.pos += n
	return n, n > 0
}

// Err implements beep.StreamSeeker: silence does not fail.
func (s *Silence) Err() error { return nil }

// Len implements beep.StreamSeeker.
func (s *Silence) Len() int { return s.length }

// Position implements beep.StreamSeeker.
func (s *Silence) Position() int { return s.pos }

// Seek implements beep.StreamSeeker.
func (s *Silence) Seek(frame int) error {
	if frame < 0 || frame > s.length {
		return fmt.Errorf("a silence of %d frames has no frame %d", s.length, frame)
	}
	s.pos = frame
	return nil
}
