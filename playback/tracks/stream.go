package tracks

import (
	"fmt"

	"github.com/faiface/beep"
)

// A Stream is what a File will hold, made as it is read and not rounded to an
// encoding. What it gives depends on the position alone.
type Stream struct {
	file *File
	pos  int64
	mono [2][]float64
	err  error
}

var _ beep.StreamSeeker = (*Stream)(nil)

// NewStream returns the stream of f, whose sources nothing else may read.
func NewStream(f *File) *Stream {
	s := &Stream{file: f}
	for i := range s.mono {
		s.mono[i] = make([]float64, chunk)
	}
	return s
}

// Stream implements beep.StreamSeeker. What goes past full scale is clipped.
func (s *Stream) Stream(samples [][2]float64) (n int, ok bool) {
	for n < len(samples) && s.err == nil && s.pos < s.file.Length {
		k := int(min(chunk, int64(len(samples)-n), s.file.Length-s.pos))
		for i := range s.mono {
			mono := s.mono[i][:k]
			if s.err = s.file.Sides[i].fill(mono, s.pos); s.err != nil {
				return n, n > 0
			}
			for j, v := range mono {
				samples[n+j][i] = max(-1, min(v, 1))
			}
		}
		s.pos += int64(k)
		n += k
	}
	return n, n > 0
}

// Err returns what went wrong in reading a source.
func (s *Stream) Err() error { return s.err }

// Len is the length of the file in frames.
func (s *Stream) Len() int { return int(s.file.Length) }

// Position is the frame that is next.
func (s *Stream) Position() int { return int(s.pos) }

// Seek makes frame the next, from 0 to Len. A stream that broke is tried again.
func (s *Stream) Seek(frame int) error {
	if frame < 0 || int64(frame) > s.file.Length {
		return fmt.Errorf("frame %d is outside 0 to %d", frame, s.file.Length)
	}
	s.pos, s.err = int64(frame), nil
	return nil
}
