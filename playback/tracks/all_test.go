package tracks

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"drylane/playback"
)

// Files that are built at once are those that are built one by one, the music is
// opened once for them, and what is wrong with one of them is said of that one.
func TestAllAtOnce(t *testing.T) {
	path := noise(t)
	opened := 0
	m := NewMaster(func() (*playback.Soundtrack, error) { opened++; return playback.OpenFile(path) })
	t.Cleanup(func() { m.Close() })
	var files []*File
	for _, sides := range [][2]Side{
		{{must(m.Music([2]float64{1, 0}, 0)), 1, 0}, {code(-12), 1, 0}},
		{{must(m.Music([2]float64{0.5, 0.5}, 0)), 0.5, 0}, {pips(3, 10), 1, 0}},
	} {
		files = append(files, &File{rate, length, playback.WAVInt16, sides})
	}
	var outs []io.WriteSeeker
	var paths []string
	for _, name := range []string{"a.wav", "b.wav"} {
		f, err := os.Create(filepath.Join(t.TempDir(), name))
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		outs, paths = append(outs, f), append(paths, f.Name())
	}
	if _, err := BuildAll(t.Context(), outs, files, silent); err != nil {
		t.Fatal(err)
	}
	if opened != 1 {
		t.Errorf("the music was opened %d times", opened)
	}
	var built []*playback.Soundtrack
	for i, f := range files {
		one, _ := write(t, f)
		a, b := must(os.ReadFile(paths[i])), must(os.ReadFile(one))
		if !bytes.Equal(a, b) {
			t.Errorf("file %d is another one when it is built alone", i)
		}
		s, err := playback.OpenFile(paths[i])
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		built = append(built, s)
	}
	found, err := VerifyAll(t.Context(), built, files, silent)
	if err != nil || !strings.HasPrefix(found[0][1], "timecode") || !strings.HasPrefix(found[1][1], "2 words") {
		t.Errorf("%q, %v", found, err)
	}
	files[1].Sides[1].Gain = 0.9 // not as it was written
	for _, s := range built {
		if err := s.Seek(0); err != nil {
			t.Fatal(err)
		}
	}
	var one *FileError
	if _, err := VerifyAll(t.Context(), built, files, silent); !errors.As(err, &one) || one.Index != 1 || !errors.Is(err, errContent) {
		t.Errorf("%v, want other content in the second file", err)
	}
}
