package reftest

import (
	"encoding/binary"
	"io"
	"sync"
	"testing"
	"time"
)

// A Pair is two sound servers, as of two machines, whose devices are read by one clock:
// what both play is taken down side by side, so that it can be compared. The second
// device may run fast.
type Pair struct {
	First, Second string // for PULSE_SERVER

	rate  int
	fast  float64 // by how many parts in a million
	began time.Time
	mu    sync.Mutex
	raw   [2][]byte
}

// StartPair starts them at a rate, the second faster by so many parts in a million,
// until the test ends.
func StartPair(t testing.TB, rate int, ppm float64) *Pair {
	t.Helper()
	p := &Pair{rate: rate, fast: ppm}
	done := make(chan struct{})
	t.Cleanup(func() { <-done }) // once the pipes are closed
	var pipes [2]io.Reader
	for i, name := range []*string{&p.First, &p.Second} {
		server := StartPulse(t, rate)
		*name = server.Server
		pipe := server.pipeSink(t, rate)
		pipes[i] = pipe
		t.Cleanup(func() { server.Kill(); pipe.Close() })
	}
	p.began = time.Now()
	go p.take(pipes, done)
	return p
}

// Began is when frame 0 of both sounded.
func (p *Pair) Began() time.Time { return p.began }

// take reads both devices every few milliseconds: what each has played by then, as a
// crystal would have it, however late the look itself comes.
func (p *Pair) take(pipes [2]io.Reader, done chan<- struct{}) {
	defer close(done)
	const tick = 2 * time.Millisecond
	rates := [2]float64{float64(p.rate), float64(p.rate) * (1 + p.fast/1e6)}
	var taken [2]int
	for {
		time.Sleep(tick)
		played := time.Since(p.began).Seconds()
		for i, pipe := range pipes {
			n := int(played*rates[i]) - taken[i]
			buf := make([]byte, 8*n)
			if _, err := io.ReadFull(pipe, buf); err != nil {
				return
			}
			taken[i] += n
			p.mu.Lock()
			p.raw[i] = append(p.raw[i], buf...)
			p.mu.Unlock()
		}
	}
}

// Frames returns what either device has played so far. Frame n of the second sounded
// with frame n/(1+ppm/1e6) of the first.
func (p *Pair) Frames(t testing.TB) (first, second [][2]float32) {
	t.Helper()
	p.mu.Lock()
	defer p.mu.Unlock()
	for i, to := range []*[][2]float32{&first, &second} {
		*to = make([][2]float32, len(p.raw[i])/8)
		if _, err := binary.Decode(p.raw[i], binary.LittleEndian, *to); err != nil {
			t.Fatal(err)
		}
	}
	return first, second
}
