package accents

import (
	"context"
	"io"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"sync/atomic"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/cache"
	"drylane/playback/folder"
	"drylane/playback/listen"
	"drylane/playback/wavtest"
)

const rate = 44100

// writePiece writes a piece that changes its chord for good every minute, with a click
// twice a second, and returns how long its file is.
func writePiece(t testing.TB, path string, minutes int) (size int64) {
	t.Helper()
	chords := [2][]float64{{220, 277.2, 329.6}, {155.6, 185, 233.1, 933}}
	wavtest.Stream(t, path, rate, 2, func(w *playback.WAVWriter) error {
		for n := range minutes * 120 {
			frames := make([][2]float64, rate/2)
			for i := range frames {
				since := float64(i) / rate
				x := 2 * math.Sin(2*math.Pi*1500*since) * math.Exp(-since*60)
				for _, hz := range chords[n/120%2] {
					x += math.Sin(2 * math.Pi * hz * (since + float64(n)/2))
				}
				frames[i] = [2]float64{0.1 * x, 0.1 * x}
			}
			if err := w.Write(frames); err != nil {
				return err
			}
		}
		return nil
	})
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	return info.Size()
}

// A reading counts what is read of a file.
type reading struct {
	*os.File
	n *atomic.Int64
}

func (r reading) Read(p []byte) (int, error) {
	n, err := r.File.Read(p)
	r.n.Add(int64(n))
	return n, err
}

// TestOnePass: a soundtrack that nobody has listened to is read twice, once for its hash
// and once for all that is found in it; from then on the hash is enough, for the changes
// and for the onsets.
func TestOnePass(t *testing.T) {
	kept := t.TempDir()
	cache.Use(cache.New(kept, 1<<24))
	defer cache.Use(nil)
	path := filepath.Join(t.TempDir(), "piece.wav")
	size := writePiece(t, path, 3)
	var read atomic.Int64
	open := func() (io.ReadSeekCloser, error) {
		f, err := os.Open(path)
		return reading{f, &read}, err
	}
	quiet := func(string, float64) {}
	var first []time.Duration
	for i, c := range []struct {
		what  string
		find  func() error
		files float64 // read, of the size of the file
	}{
		{"changes", func() (err error) {
			first, err = Changes(context.Background(), listen.File{Name: path, Open: open}, quiet)
			return err
		}, 2},
		{"changes again", func() error {
			again, err := Changes(context.Background(), listen.File{Name: path, Open: open}, quiet)
			if !reflect.DeepEqual(again, first) {
				t.Errorf("changes at %v, and from the cache %v", first, again)
			}
			return err
		}, 1},
		{"onsets", func() error {
			_, err := Find(context.Background(), listen.File{Name: path, Open: open}, quiet)
			return err
		}, 1},
	} {
		read.Store(0)
		if err := c.find(); err != nil {
			t.Fatal(err)
		}
		if got := float64(read.Load()) / float64(size); math.Abs(got-c.files) > 0.1 {
			t.Errorf("%d, %s: %.2f times the file was read, want %v", i, c.what, got, c.files)
		}
	}
	// The chord changes at 1:00 and 2:00; a beat may begin within half a second of it.
	if len(first) != 2 || (first[0]-time.Minute).Abs() > 600*time.Millisecond || (first[1]-2*time.Minute).Abs() > 600*time.Millisecond {
		t.Errorf("changes at %v, want 1:00 and 2:00", first)
	}
}

// TestStoppedIsNotKept: what was not heard to its end is not in the cache.
func TestStoppedIsNotKept(t *testing.T) {
	kept := t.TempDir()
	cache.Use(cache.New(kept, 1<<24))
	defer cache.Use(nil)
	path := filepath.Join(t.TempDir(), "piece.wav")
	writePiece(t, path, 1)
	ctx, cancel := context.WithCancel(context.Background())
	_, err := Changes(ctx, listen.File{Name: path, Open: func() (io.ReadSeekCloser, error) { return os.Open(path) }}, func(what string, part float64) {
		if part > 0.5 && what != "reading piece.wav" {
			cancel()
		}
	})
	if err == nil {
		t.Fatal("it was heard to its end")
	}
	if files, _ := filepath.Glob(filepath.Join(kept, "*")); len(files) > 0 {
		t.Errorf("%v were kept", files)
	}
}

// BenchmarkHalfAnHour is the time until the changes of a soundtrack of 30 minutes are
// known, from cold and from the cache.
func BenchmarkHalfAnHour(b *testing.B) {
	path := filepath.Join(b.TempDir(), "piece.wav")
	writePiece(b, path, 30)
	open := func() (io.ReadSeekCloser, error) { return os.Open(path) }
	find := func(b *testing.B) {
		if _, err := Changes(context.Background(), listen.File{Name: path, Open: open}, func(string, float64) {}); err != nil {
			b.Fatal(err)
		}
	}
	b.Run("cold", func(b *testing.B) {
		for b.Loop() {
			cache.Use(cache.New(b.TempDir(), 1<<24))
			find(b)
		}
	})
	b.Run("known", func(b *testing.B) {
		cache.Use(cache.New(b.TempDir(), 1<<24))
		find(b)
		for b.Loop() {
			find(b)
		}
	})
}

// TestBackgroundSharesAPass: the changes for a console come from the pass that is made
// for its waveform; where that was left, or the music is known, from one of their own,
// or from none.
func TestBackgroundSharesAPass(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "show")
	if err := folder.WriteStarter(dir); err != nil {
		t.Fatal(err)
	}
	f, err := folder.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	info := f.Music.Info()
	left, leave := context.WithCancel(t.Context())
	leave()
	over := make(chan struct{})
	close(over)
	for _, c := range []struct {
		name  string
		kept  *cache.Store
		pass  context.Context // of the waveform
		times int64           // that the music is decoded in all
	}{
		{"in one pass", nil, t.Context(), 1},
		{"alone", nil, left, 1},
		{"to be kept", cache.New(t.TempDir(), 1<<24), t.Context(), 1},
		{"kept", nil, t.Context(), 0},
	} {
		if c.kept != nil {
			cache.Use(c.kept)
			defer cache.Use(nil)
		}
		before := playback.Decoded()
		b := InBackground(f)
		wave := listen.Wave{Overview: playback.NewOverview(info.Rate, info.Frames)}
		err := listen.To(c.pass, f.Listened(), func(string, float64) {}, append([]listen.Wish{wave}, b.Wishes()...)...)
		if (err == nil) != (c.pass.Err() == nil) {
			t.Errorf("%s: the pass: %v", c.name, err)
		}
		b.Go(t.Context(), over)
		if _, known := b.Known(); !known {
			t.Errorf("%s: the changes are not known", c.name)
		}
		if got := playback.Decoded() - before; got != c.times*int64(info.Frames) {
			t.Errorf("%s: %d frames were decoded, want %d times %d", c.name, got, c.times, info.Frames)
		}
	}
}
