package playback

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
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

// A pass that is pulled gives the same frames, from the start again after a seek there,
// and ends when it is closed.
func TestPassStream(t *testing.T) {
	t.Parallel()
	for _, path := range []string{"gapless/testdata/cbr-stereo.mp3", writeWAV(t, 44100, 2, WAVInt16, music(60_000))} {
		want := readAll(t, mustOpen(t, path))
		s := mustOpen(t, path)
		m := s.PassStream(t.Context(), func() (io.ReadSeekCloser, error) { return os.Open(path) })
		var part float64
		m.Told(func(p float64) { part = p })
		if n, _ := m.Stream(make([][2]float64, 1000)); n != 1000 || m.Position() != 1000 {
			t.Fatalf("%s: %d frames, position %d", path, n, m.Position())
		}
		if m.Seek(1) == nil || m.Seek(0) != nil {
			t.Errorf("%s: a pass begins at frame 0 and nowhere else", path)
		}
		var got [][2]float64
		buf := make([][2]float64, 777)
		for {
			n, ok := m.Stream(buf)
			if got = append(got, buf[:n]...); !ok {
				break
			}
		}
		if !slices.Equal(got, want) || m.Err() != nil || part != 1 || m.Len() != len(want) || m.Rate() != s.Rate() {
			t.Errorf("%s: %d frames of %d, told of %.2f, error %v", path, len(got), len(want), part, m.Err())
		}
		if err := m.Seek(0); err != nil {
			t.Fatal(err)
		}
		m.Stream(buf)
		m.Close()
		m.Close()
	}
	ctx, cancel := context.WithCancel(t.Context())
	path := "gapless/testdata/cbr-stereo.mp3"
	m := mustOpen(t, path).PassStream(ctx, func() (io.ReadSeekCloser, error) { return os.Open(path) })
	cancel()
	for ok := true; ok; {
		_, ok = m.Stream(make([][2]float64, 512))
	}
	if !errors.Is(m.Err(), context.Canceled) {
		t.Errorf("stopped: %v", m.Err())
	}
	m.Close()
}
