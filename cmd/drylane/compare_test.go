package main

import (
	"bytes"
	"io"
	"path/filepath"
	"strings"
	"testing"

	"drylane/playback"
	"drylane/playback/wavtest"
)

// partOf writes the first seconds of the demo's music to a WAV file, with its sides
// made by f.
func partOf(t *testing.T, seconds int, f func(l, r float64) [2]float64) string {
	t.Helper()
	m, err := playback.OpenFile(filepath.Join(root, "testdata", "demo", "show", "soundtrack.mp3"))
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	frames := make([][2]float64, seconds*m.Rate())
	for n := 0; n < len(frames); {
		k, ok := m.Stream(frames[n:])
		if n += k; !ok {
			t.Fatalf("%d of %d frames: %v", n, len(frames), m.Err())
		}
	}
	for i, v := range frames {
		frames[i] = f(v[0], v[1])
	}
	path := filepath.Join(t.TempDir(), "part.wav")
	wavtest.Write(t, path, m.Rate(), 2, frames)
	return path
}

// What a copy lacks is said, and makes the command fail.
func TestCompareFindings(t *testing.T) {
	if testing.Short() {
		t.Skip("compares minutes of music")
	}
	whole := func(l, r float64) [2]float64 { return [2]float64{l, r} }
	master := partOf(t, 60, whole)
	for _, c := range []struct {
		name string
		copy string
		said string
		want error
	}{
		{"the same", partOf(t, 60, whole), "runs true", nil},
		{"its first 15 s", partOf(t, 15, whole), "runs true; the last 45.0 s of the music of MASTER are not in it", errSilent},
		{"its first 10 s", partOf(t, 10, whole), "runs true; the last 50.0 s of the music of MASTER are not in it", errSilent},
		{"left reversed", partOf(t, 60, func(l, r float64) [2]float64 { return [2]float64{-l, r} }), "runs true; the polarity of its left side is reversed", errSilent},
		{"right missing", partOf(t, 60, func(l, _ float64) [2]float64 { return [2]float64{l, 0} }), "its right side is silent", errSilent},
	} {
		var out bytes.Buffer
		err := compareCmd{A: master, B: c.copy}.Run(&env{ctx: t.Context(), out: &out, errOut: io.Discard})
		if want := strings.ReplaceAll(c.said, "MASTER", master); err != c.want || !strings.Contains(out.String(), want) {
			t.Errorf("%s: error %v, said %s; want %v, %s", c.name, err, out.String(), c.want, want)
		}
	}
}
