package review

import (
	"math/rand/v2"
	"testing"
	"time"
)

// BenchmarkCheck reviews 10,000 cues on half an hour of music.
func BenchmarkCheck(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 2))
	m := invented(r, 30*time.Minute)
	cues := placed(r, m, 10_000, still)
	for b.Loop() {
		if !Check(cues, m).Show.Found() {
			b.Fatal("not found")
		}
	}
}
