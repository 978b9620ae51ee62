package listen

import (
	"io"
	"os"
	"os/exec"
	"slices"
	"testing"
	"time"

	"drylane/playback"
	"drylane/testdata/reftest"
)

// BenchmarkLoudness measures all that loudness costs of an MP3 that was never met, on
// all cores, beside mpg123 decoding it as a whole process: of-mpg123 is the median of
// the ratios of runs that follow each other.
//
//	DRYLANE_BENCH_MP3=FILE go test ./playback/listen -run '^$' -bench Loudness -benchtime 5x
func BenchmarkLoudness(b *testing.B) {
	path := os.Getenv("DRYLANE_BENCH_MP3")
	if path == "" {
		path = "../../testdata/demo/show/soundtrack.mp3"
	}
	mpg123 := reftest.Tool(b, "mpg123")
	f := File{Name: path, Open: func() (io.ReadSeekCloser, error) { return playback.OpenBytes(path) }}
	var ratios []float64
	for b.Loop() {
		start := time.Now()
		if err := To(b.Context(), f, tellNobody, new(Loudness)); err != nil {
			b.Fatal(err)
		}
		ours := time.Since(start)
		start = time.Now()
		if out, err := exec.Command(mpg123, "-q", "-t", path).CombinedOutput(); err != nil {
			b.Fatalf("%v: %s", err, out)
		}
		ratios = append(ratios, ours.Seconds()/time.Since(start).Seconds())
	}
	slices.Sort(ratios)
	b.ReportMetric(ratios[len(ratios)/2], "of-mpg123")
}
