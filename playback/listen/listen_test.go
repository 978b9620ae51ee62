package listen

import (
	"bytes"
	"context"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/cache"
	"drylane/playback/loudness"
	"drylane/playback/wavtest"
	"drylane/show/timebase"
)

// The tests of this package set the cache that the process uses: none is parallel.

const rate = 22050

// useCache has the test keep what it works out in a folder of its own.
func useCache(t testing.TB) (folder string) {
	t.Helper()
	folder = t.TempDir()
	cache.Use(cache.New(folder, 64<<20))
	t.Cleanup(func() { cache.Use(nil) })
	return folder
}

// music writes a WAV file with a stroke every half second, at the pitch that is given.
func music(t testing.TB, path string, seconds int, hz float64) File {
	t.Helper()
	frames := make([][2]float64, seconds*rate)
	for i := range frames {
		since := float64(i%(rate/2)) / rate
		v := 0.5 * math.Exp(-8*since) * math.Sin(2*math.Pi*hz*since)
		frames[i] = [2]float64{v, v / 2}
	}
	wavtest.Write(t, path, rate, 2, frames)
	return File{Name: path, Open: func() (io.ReadSeekCloser, error) { return playback.OpenBytes(path) }}
}

// all are all wishes, not granted yet.
func all(seconds int) []Wish {
	o := new(Onsets)
	return []Wish{o, &Changes{Onsets: o}, new(Loudness), &Loudness{DualMono: true}, new(Flaws),
		Wave{playback.NewOverview(rate, timebase.Frame(seconds*rate))}}
}

// results are what the wishes came to.
func results(list []Wish) (out []any) {
	for _, w := range list {
		switch w := w.(type) {
		case *Onsets:
			out = append(out, *w.Music)
		case *Changes:
			out = append(out, *w.Score)
		case *Loudness:
			out = append(out, w.Result)
		case *Flaws:
			out = append(out, *w)
		case Wave:
			out = append(out, w.Overview.Store())
		}
	}
	return out
}

// decodes counts the frames that fn decodes.
func decodes(t *testing.T, fn func() error) int64 {
	t.Helper()
	before := playback.Decoded()
	if err := fn(); err != nil {
		t.Fatal(err)
	}
	return playback.Decoded() - before
}

// All wishes take one pass together, the second time none, and come to the same; a
// copy of the file under another name is the same file.
func TestOnce(t *testing.T) {
	useCache(t)
	dir := t.TempDir()
	f := music(t, filepath.Join(dir, "a.wav"), 12, 440)
	grant := func(f File, list []Wish) int64 {
		t.Helper()
		return decodes(t, func() error { return To(t.Context(), f, tellNobody, list...) })
	}
	first := all(12)
	if got := grant(f, first); got != 12*rate {
		t.Errorf("%d frames were decoded, want those of one pass, %d", got, 12*rate)
	}
	if o := first[0].(*Onsets); len(o.Music.Accents) < 20 {
		t.Errorf("%d accents, of 24 strokes", len(o.Music.Accents))
	}
	for _, name := range []string{"a.wav", "b.wav"} {
		again := all(12)
		if got := grant(music(t, filepath.Join(dir, name), 12, 440), again); got != 0 {
			t.Errorf("%s: %d frames were decoded again", name, got)
		}
		if !reflect.DeepEqual(results(again), results(first)) {
			t.Errorf("%s: another result than the first time", name)
		}
	}
	if got := grant(music(t, filepath.Join(dir, "a.wav"), 12, 450), all(12)); got != 12*rate {
		t.Errorf("other music under the name: %d frames were decoded, want %d", got, 12*rate)
	}
	cache.Use(nil)
	anew := all(12)
	if got := grant(music(t, filepath.Join(dir, "a.wav"), 12, 440), anew); got != 12*rate || !reflect.DeepEqual(results(anew), results(first)) {
		t.Errorf("without a cache: %d frames were decoded", got)
	}
}

// What the wish comes to is what its package makes of the same frames.
func TestLoudnessIsMeasured(t *testing.T) {
	f := music(t, filepath.Join(t.TempDir(), "a.wav"), 5, 440)
	l := new(Loudness)
	if err := To(t.Context(), f, tellNobody, l); err != nil {
		t.Fatal(err)
	}
	s, err := f.open()
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	want, err := loudness.Measure(t.Context(), s, rate, 2, loudness.Options{})
	if err != nil || !reflect.DeepEqual(l.Result, want) {
		t.Errorf("got %+v, want %+v (%v)", l.Result, want, err)
	}
}

// Wrong entries with a right seal are worked out again, and right ones put in their
// place.
func TestWrongEntry(t *testing.T) {
	folder := useCache(t)
	f := music(t, filepath.Join(t.TempDir(), "a.wav"), 3, 440)
	first := all(3)
	if err := To(t.Context(), f, tellNobody, first...); err != nil {
		t.Fatal(err)
	}
	if err := f.identify(t.Context(), tellNobody); err != nil {
		t.Fatal(err)
	}
	for _, wrong := range []string{"", "null", "[]", `{"version":3}`, `{"altered":"\u001b[2J"}`, `{"damage":[{"At":-1}]}`, `[{"At":-5}]`, `[{"At":99999999}]`,
		`{"rate":22050,"channels":7,"channel":[]}`, strings.Repeat("\xff", 2000)} {
		for _, w := range first {
			what, version := w.Key()
			cache.InUse().Put(cache.Key{Content: f.SHA256, What: what, Version: version}, []byte(wrong))
		}
		again := all(3)
		if err := To(t.Context(), f, tellNobody, again...); err != nil {
			t.Fatalf("%q: %v", wrong, err)
		}
		if got, want := results(again), results(first); !reflect.DeepEqual(got[0], want[0]) || !reflect.DeepEqual(got[2:4], want[2:4]) || !reflect.DeepEqual(got[5], want[5]) {
			t.Errorf("%q was taken for a result", wrong)
		}
		if c := again[1].(*Changes); len(c.Score.Changes) > 0 {
			t.Errorf("%q: changes at %v", wrong, c.Score)
		}
		if fl := again[4].(*Flaws); fl.Altered != "" || len(fl.Damage) > 0 {
			t.Errorf("%q: flaws %+v", wrong, fl)
		}
	}
	if got := decodes(t, func() error { return To(t.Context(), f, tellNobody, all(3)...) }); got != 0 {
		t.Errorf("the right entries are not back: %d frames were decoded", got)
	}
	if list, _ := filepath.Glob(filepath.Join(folder, "*")); len(list) != len(first) {
		t.Errorf("the cache holds %q", list)
	}
}

// A comparison and the hash of the sound are remembered as well.
func TestComparedOnce(t *testing.T) {
	useCache(t)
	dir := t.TempDir()
	a, b := music(t, filepath.Join(dir, "a.wav"), 8, 440), music(t, filepath.Join(dir, "b.wav"), 8, 445)
	var first [2]any
	for i := range 2 {
		got := decodes(t, func() error {
			r, err := Compare(t.Context(), a, b, tellNobody)
			sum, info, errHash := HashAudio(t.Context(), a, tellNobody)
			now := [2]any{r, sum + info.Altered}
			if i == 0 {
				first = now
			} else if !reflect.DeepEqual(now, first) {
				t.Errorf("the second time %+v, the first %+v", now, first)
			}
			return errors.Join(err, errHash)
		})
		if i == 0 && got < 3*8*rate || i == 1 && got != 0 {
			t.Errorf("time %d: %d frames were decoded", i+1, got)
		}
	}
	ab, err := Together(t.Context(), tellNobody, &a, &b)
	ba, errOther := Together(t.Context(), tellNobody, &b, &a)
	if err != nil || errOther != nil || ab.SHA256 == ba.SHA256 {
		t.Errorf("two files the other way round are the same: %v, %v", err, errOther)
	}
}

// Of a file that is written to while it is listened to nothing is kept.
func TestChangedMeanwhile(t *testing.T) {
	folder := useCache(t)
	f := music(t, filepath.Join(t.TempDir(), "a.wav"), 3, 440)
	l, once := new(Loudness), false
	err := To(t.Context(), f, func(what string, _ float64) {
		if strings.HasPrefix(what, "listening") && !once {
			once = true
			if err := os.Chtimes(f.Name, time.Unix(0, 0), time.Unix(0, 0)); err != nil {
				t.Error(err)
			}
		}
	}, l)
	if err != nil || !once || l.Result.Frames != 3*rate {
		t.Errorf("listened %v to %d frames, %v", once, l.Result.Frames, err)
	}
	if list, _ := os.ReadDir(folder); len(list) > 0 {
		t.Errorf("kept all the same: %v", list)
	}
}

// A pass that is stopped, or whose file breaks off, says so and keeps nothing.
func TestStopped(t *testing.T) {
	folder := useCache(t)
	f := music(t, filepath.Join(t.TempDir(), "a.wav"), 3, 440)
	ctx, cancel := context.WithCancel(t.Context())
	err := To(ctx, f, func(what string, _ float64) {
		if strings.HasPrefix(what, "listening") {
			cancel()
		}
	}, all(3)...)
	if err == nil || err.Error() != "stopped before a.wav was heard to its end" {
		t.Errorf("stopped: %v", err)
	}
	if err := To(t.Context(), File{Name: "none.wav", Open: func() (io.ReadSeekCloser, error) { return playback.OpenBytes("none.wav") }}, tellNobody, all(3)...); err == nil {
		t.Error("a file that is not there was heard")
	}
	if list, _ := os.ReadDir(folder); len(list) > 0 {
		t.Errorf("kept all the same: %v", list)
	}
}

// Whatever lies in the cache is refused or harmless.
func FuzzRestore(f *testing.F) {
	useCache(f)
	file := music(f, filepath.Join(f.TempDir(), "a.wav"), 3, 440)
	list := all(3)
	if err := To(f.Context(), file, tellNobody, list...); err != nil {
		f.Fatal(err)
	}
	for i, w := range list {
		if err := file.identify(f.Context(), tellNobody); err != nil {
			f.Fatal(err)
		}
		what, version := w.Key()
		f.Add(i, file.get(what, version))
	}
	f.Add(1, []byte(`[{"At":0,"New":0}]`))
	f.Add(4, []byte(`{"altered":"\u202e"}`))
	f.Fuzz(func(t *testing.T, i int, b []byte) {
		list := all(3)
		w := list[uint(i)%uint(len(list))]
		if w.Restore(bytes.Clone(b)) != nil {
			return
		}
		switch w := w.(type) {
		case *Onsets:
			for _, a := range w.Music.Accents {
				if a.At < 0 || a.At >= w.Music.Length {
					t.Errorf("an accent at %d of %d frames", a.At, w.Music.Length)
				}
			}
		case *Loudness:
			if len(w.Result.Channel) != w.Result.Channels {
				t.Errorf("%d of %d channels", len(w.Result.Channel), w.Result.Channels)
			}
		case *Flaws:
			if strings.ContainsAny(w.Altered, "\x1b\u202e") {
				t.Errorf("%q", w.Altered)
			}
		case Wave:
			if _, _, ok := w.Column(0, w.Len()); !ok {
				t.Error("a waveform that does not reach its end")
			}
		}
	})
}
