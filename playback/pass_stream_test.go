package playback

import (
	"io"
	"os"
	"testing"
)

// The last frames come with true, as a beep.Streamer has it, and after them there are
// none, with false and without an error.
func TestPassStreamEnds(t *testing.T) {
	t.Parallel()
	path := writeWAV(t, 48000, 2, WAVInt16, ramp16()[:5])
	s := mustOpen(t, path).PassStream(t.Context(), func() (io.ReadSeekCloser, error) { return os.Open(path) })
	defer s.Close()
	var last float64
	s.Told(func(part float64) { last = part })
	buf := make([][2]float64, 8)
	if n, ok := s.Stream(buf); n != 5 || !ok {
		t.Errorf("got %d frames, %v; want 5, true", n, ok)
	}
	if n, ok := s.Stream(buf); n != 0 || ok || s.Err() != nil {
		t.Errorf("behind the end: got %d frames, %v, %v", n, ok, s.Err())
	}
	if last != 1 {
		t.Errorf("told %v of the file; want all", last)
	}
}
