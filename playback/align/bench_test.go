package align

import (
	"context"
	"runtime"
	"testing"
)

// flat is ten minutes of mono at 44.1 kHz, streamed as stereo: it holds a
// quarter of the memory of [2]float64.
type flat struct {
	samples []float32
	pos     int
}

func (f *flat) Stream(out [][2]float64) (int, bool) {
	n := min(len(out), len(f.samples)-f.pos)
	for i, v := range f.samples[f.pos : f.pos+n] {
		out[i] = [2]float64{float64(v), float64(v)}
	}
	f.pos += n
	return n, n > 0
}
func (f *flat) Err() error       { return nil }
func (f *flat) Len() int         { return len(f.samples) }
func (f *flat) Position() int    { return f.pos }
func (f *flat) Seek(p int) error { f.pos = p; return nil }

func tenMinutes(seed uint64) []float32 {
	return monoOf(compose(score{seed: seed, rate: 44100, seconds: 600, bpm: 121}))
}

// BenchmarkTenMinutes compares ten minutes with ten minutes from memory.
func BenchmarkTenMinutes(b *testing.B) {
	x, other := tenMinutes(1), tenMinutes(2)
	runtime.GC()
	for _, c := range []struct {
		name string
		y    []float32
		rate int
	}{{"same", x[44100:], 44100}, {"different", other, 44100}, {"44.1 as 48", x, 48000}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				_, err := Compare(context.Background(), Source{&flat{samples: x}, 44100}, Source{&flat{samples: c.y}, c.rate}, Options{})
				if err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
