package gapless

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"runtime"
	"slices"
	"testing"
	"time"

	"github.com/hajimehoshi/go-mp3"
)

// benchFile is a long MP3 to measure with: the one that DRYLANE_BENCH_MP3
// names, else the longest committed one.
func benchFile(b *testing.B) string {
	if f := os.Getenv("DRYLANE_BENCH_MP3"); f != "" {
		return f
	}
	return "testdata/cbr-stereo.mp3"
}

func openBench(b *testing.B) *os.File {
	b.Helper()
	f, err := os.Open(benchFile(b))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { f.Close() })
	return f
}

// reportSpeed gives how many times faster than real time the music went.
func reportSpeed(b *testing.B, frames, rate int) {
	b.ReportMetric(float64(frames)/float64(rate)*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
}

func BenchmarkOpen(b *testing.B) {
	f := openBench(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := NewReader(f); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkStream(b *testing.B) {
	r, err := NewReader(openBench(b))
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	buf := make([][2]float64, 512)
	for b.Loop() {
		if err := r.Seek(0); err != nil {
			b.Fatal(err)
		}
		for {
			if _, ok := r.Stream(buf); !ok {
				break
			}
		}
	}
	reportSpeed(b, r.Len(), r.Rate())
}

// BenchmarkPass measures a pass on one core, and on all.
func BenchmarkPass(b *testing.B) {
	for _, cores := range []int{1, runtime.GOMAXPROCS(0)} {
		b.Run(fmt.Sprint(cores, " cores"), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				passFile(b, benchFile(b), cores)
			}
		})
	}
}

// passFile opens a file and decodes all of it on so many cores.
func passFile(tb testing.TB, path string, cores int) {
	open := func() (io.ReadSeekCloser, error) { return os.Open(path) }
	f, err := os.Open(path)
	if err != nil {
		tb.Fatal(err)
	}
	defer f.Close()
	r, err := NewReader(f)
	if err != nil {
		tb.Fatal(err)
	}
	err = newPass(r.ix, cores, passEntries).run(tb.Context(), r, open, func(int64, [][2]float64) error { return nil })
	if err != nil {
		tb.Fatal(err)
	}
}

// bareFile decodes all of a file with the MP3 decoder alone.
func bareFile(tb testing.TB, path string) {
	f, err := os.Open(path)
	if err != nil {
		tb.Fatal(err)
	}
	defer f.Close()
	d, err := mp3.NewDecoder(bufio.NewReaderSize(f, feedBuffer)) // no io.Seeker: it does not index
	if err == nil {
		_, err = io.Copy(io.Discard, d)
	}
	if err != nil {
		tb.Fatal(err)
	}
}

// BenchmarkBare measures the MP3 decoder alone.
func BenchmarkBare(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		bareFile(b, benchFile(b))
	}
}

// BenchmarkBeside measures a whole pass, its index included, beside the MP3 decoder
// alone on the same file: in each turn the one directly after the other, so that
// what else the machine does falls on both. of-bare is the median of the ratios.
//
//	DRYLANE_BENCH_MP3=FILE go test ./playback/gapless -run '^$' -bench Beside -benchtime 5x
func BenchmarkBeside(b *testing.B) {
	for _, cores := range []int{1, runtime.GOMAXPROCS(0)} {
		b.Run(fmt.Sprint(cores, " cores"), func(b *testing.B) {
			defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
			var ratios []float64
			for b.Loop() {
				start := time.Now()
				bareFile(b, benchFile(b))
				bare := time.Since(start)
				passFile(b, benchFile(b), cores)
				ratios = append(ratios, float64(time.Since(start)-bare)/float64(bare))
			}
			slices.Sort(ratios)
			b.ReportMetric(ratios[len(ratios)/2], "of-bare")
		})
	}
}

// BenchmarkSeek measures a seek and the frame behind it, all over the file.
func BenchmarkSeek(b *testing.B) {
	r, err := NewReader(openBench(b))
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	var buf [1][2]float64
	step := r.Len()*5/8 + 1
	for at := 0; b.Loop(); at = (at + step) % r.Len() {
		if err := r.Seek(at); err != nil {
			b.Fatal(err)
		}
		r.Stream(buf[:])
	}
}
