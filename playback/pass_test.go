package playback

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"drylane/show/timebase"
)

// TestPassIsAStraightRead: for each of the committed files, the chunks of a
// pass are the frames of a straight read.
func TestPassIsAStraightRead(t *testing.T) {
	t.Parallel()
	files, _ := filepath.Glob("testdata/*.*")
	mp3s, _ := filepath.Glob("gapless/testdata/*.mp3")
	tried := 0
	for _, path := range append(files, mp3s...) {
		s, err := OpenFile(path)
		if err != nil {
			continue // a README
		}
		tried++
		want := make([][2]float64, s.Len()+1)
		n := 0
		for {
			k, ok := s.Stream(want[n:])
			if n += k; !ok || n == len(want) {
				break
			}
		}
		s.Close()
		open := func() (io.ReadSeekCloser, error) { return os.Open(path) }
		at := 0
		err = Pass(context.Background(), path, open, func(start timebase.Frame, frames [][2]float64) error {
			if int(start) != at {
				t.Fatalf("%s: a chunk begins at %d, want %d", path, start, at)
			}
			for i, f := range frames {
				if f != want[at+i] {
					t.Fatalf("%s: frame %d is %v, want %v", path, at+i, f, want[at+i])
				}
			}
			at += len(frames)
			return nil
		})
		if err != nil || at != n {
			t.Errorf("%s: %d frames of %d, error %v", path, at, n, err)
		}
		stop := errors.New("enough")
		if err := Pass(context.Background(), path, open, func(timebase.Frame, [][2]float64) error { return stop }); !errors.Is(err, stop) {
			t.Errorf("%s: the error of fn came back as %v", path, err)
		}
	}
	if tried < 4 {
		t.Errorf("only %d files were tried", tried)
	}
}
