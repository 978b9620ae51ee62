package outdoors

import (
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"drylane/playback"
)

// Read reads all of a sound file on one channel, and closes it.
func Read(tb testing.TB, f *playback.Soundtrack) (x []float64, rate int) {
	tb.Helper()
	defer f.Close()
	buf := make([][2]float64, 8192)
	for {
		n, ok := f.Stream(buf)
		x = append(x, Mono(buf[:n])...)
		if !ok {
			return x, f.Rate()
		}
	}
}

// ReadIn is Read for a file of files.
func ReadIn(tb testing.TB, files fs.FS, name string) (x []float64, rate int) {
	tb.Helper()
	f, err := files.Open(name)
	if err != nil {
		tb.Fatal(err)
	}
	s, err := playback.Open(name, f.(io.ReadSeekCloser))
	if err != nil {
		tb.Fatal(err)
	}
	return Read(tb, s)
}

// Corpus are the WAV files of the folder that DRYLANE_EAR_CORPUS names: the one of number
// first, and from there every so many.
func Corpus(t *testing.T, first, every int) (pieces [][]float64, names []string) {
	t.Helper()
	dir := os.Getenv("DRYLANE_EAR_CORPUS")
	if dir == "" {
		t.Skip("DRYLANE_EAR_CORPUS is not set to a folder of WAV files at 44.1 kHz")
	}
	paths, err := filepath.Glob(filepath.Join(dir, "*.wav"))
	if err != nil {
		t.Fatal(err)
	}
	for i := first; i < len(paths); i += every {
		f, err := playback.OpenFile(paths[i])
		if err != nil {
			t.Fatal(err)
		}
		x, _ := Read(t, f)
		pieces, names = append(pieces, x), append(names, strings.TrimSuffix(filepath.Base(paths[i]), ".wav"))
	}
	return pieces, names
}
