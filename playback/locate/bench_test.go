package locate

import (
	"math/rand/v2"
	"runtime"
	"testing"
)

// anHour is an hour of noise as a soundtrack at 44.1 kHz.
func anHour(b *testing.B) *Music {
	b.Helper()
	rnd := rand.New(rand.NewPCG(1, 1))
	builder, err := NewBuilder(44100)
	if err != nil {
		b.Fatal(err)
	}
	frames := make([][2]float64, 44100)
	for i := range frames {
		frames[i] = [2]float64{0.1 * rnd.NormFloat64(), 0.1 * rnd.NormFloat64()}
	}
	for range 3600 {
		if err := builder.Write(frames); err != nil {
			b.Fatal(err)
		}
	}
	return builder.Music()
}

// BenchmarkHour makes an hour of music ready, and says what is held then.
func BenchmarkHour(b *testing.B) {
	var before, after runtime.MemStats
	for b.Loop() {
		runtime.GC()
		runtime.ReadMemStats(&before)
		m := anHour(b)
		runtime.GC()
		runtime.ReadMemStats(&after)
		b.ReportMetric(float64(after.HeapAlloc-before.HeapAlloc)/(1<<20), "MiB-held")
		runtime.KeepAlive(m)
	}
}

// BenchmarkFind looks a block up in an hour of music.
func BenchmarkFind(b *testing.B) {
	f := NewFinder(anHour(b))
	rnd := rand.New(rand.NewPCG(2, 2))
	block := make([]float32, BlockLength)
	for i := range block {
		block[i] = float32(rnd.NormFloat64())
	}
	b.ReportAllocs()
	for b.Loop() {
		f.Find(block, All)
	}
}
