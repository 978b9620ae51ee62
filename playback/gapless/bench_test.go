package gapless

import (
	"context"
	"io"
	"os"
	"testing"
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

func BenchmarkPass(b *testing.B) {
	r, err := NewReader(openBench(b))
	if err != nil {
		b.Fatal(err)
	}
	open := func() (io.ReadSeekCloser, error) { return os.Open(benchFile(b)) }
	b.ReportAllocs()
	for b.Loop() {
		err := Pass(context.Background(), open, func(int64, [][2]float64) error { return nil })
		if err != nil {
			b.Fatal(err)
		}
	}
	reportSpeed(b, r.Len(), r.Rate())
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
