package input

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"
	"time"

	"drylane/testdata/reftest"

	"pgregory.net/rapid"
)

// counted is a stream whose frame n is n/2^20 and its negative, up to size, in pieces
// of what it is asked for or less.
type counted struct {
	at, size int
	pieces   *rand.Rand
	closed   int
}

func frameOf(n int) [2]float64 { x := float64(n) / (1 << 20); return [2]float64{x, -x} }

func (c *counted) Next(frames [][2]float64) (int, error) {
	if c.at == c.size {
		return 0, io.EOF
	}
	n := min(1+c.pieces.IntN(len(frames)), c.size-c.at)
	for i := range n {
		frames[i] = frameOf(c.at + i)
	}
	c.at += n
	return n, nil
}

func (c *counted) Close() error { c.closed++; return nil }

func bytesOf(n int) []byte {
	var b []byte
	for i := range n {
		for _, x := range frameOf(i) {
			b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(x)))
		}
	}
	return b
}

type fataler interface {
	Helper()
	Fatalf(string, ...any)
}

// conform reads an input to its end in steps of time and pieces that draw chooses (from
// 0 to n-1), and holds it to the contract of Input: every frame comes once and in
// order, none before it was captured, and a closed input gives none. advance lets time
// pass and returns the moment.
func conform(t fataler, in Input, want int, advance func(time.Duration) time.Time, draw func(n int) int) {
	t.Helper()
	buf, got := make([][2]float64, 1000), 0
	now := advance(0)
	for range 200_000 {
		n, err := in.Read(buf[:draw(len(buf)+1)])
		if n > 0 && err != nil {
			t.Fatalf("%d frames and %v", n, err)
		}
		for i := range n {
			if buf[i] != frameOf(got+i) {
				t.Fatalf("frame %d is %v, want %v", got+i, buf[i], frameOf(got+i))
			}
		}
		got += n
		if at := in.Captured(now); float64(got)-at > 1+0.001*float64(got) {
			t.Fatalf("%d frames read, and %.1f captured", got, at)
		}
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("after %d frames: %v", got, err)
		}
		if was := in.Captured(now); in.Captured(now.Add(time.Second)) < was {
			t.Fatalf("what is captured goes back")
		}
		now = advance(time.Duration(draw(30)) * time.Millisecond)
	}
	if got != want {
		t.Fatalf("%d frames came in, want %d", got, want)
	}
	for range 2 {
		if err := in.Close(); err != nil {
			t.Fatalf("close: %v", err)
		}
	}
	if n, err := in.Read(buf); n != 0 || err == nil {
		t.Fatalf("a closed input gives %d frames, %v", n, err)
	}
}

// clock is a clock that is set by hand, and waits for what runs beside it.
type clock struct{ at time.Time }

func (c *clock) now() time.Time { return c.at }

func (c *clock) advance(d time.Duration) time.Time {
	c.at = c.at.Add(d)
	runtime.Gosched() // for the goroutine that reads ahead; nothing is told by it
	return c.at
}

func TestConformance(t *testing.T) {
	t.Parallel()
	const rate = 8000
	for name, open := range map[string]func(size int, c *clock) Input{ // of so many frames
		"file": func(size int, c *clock) Input {
			return Paced("file", rate, &counted{size: size, pieces: rand.New(rand.NewPCG(1, 1))}, false, c.now)
		},
		"pipe": func(size int, c *clock) Input {
			return Paced("pipe", rate, Raw(bytes.NewReader(bytesOf(size)), func() error { return nil }), true, c.now)
		},
		"fast file": func(size int, _ *clock) Input {
			return Fast("file", rate, &counted{size: size, pieces: rand.New(rand.NewPCG(1, 1))})
		},
		"fast pipe": func(size int, _ *clock) Input {
			return Fast("pipe", rate, Raw(bytes.NewReader(append(bytesOf(size), 1, 2, 3)), func() error { return nil }))
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			rapid.Check(t, func(t *rapid.T) {
				size := rapid.IntRange(0, 4_000).Draw(t, "size")
				seed := rapid.Uint64().Draw(t, "seed")
				r := rand.New(rand.NewPCG(seed, 0))
				c := &clock{at: time.Unix(1, 0)}
				conform(t, open(size, c), size, c.advance, r.IntN)
			})
		})
	}
}

// TestPace: a file comes in at its own rate, however often it is asked.
func TestPace(t *testing.T) {
	t.Parallel()
	c := &clock{at: time.Unix(1, 0)}
	in := Paced("file", 8000, &counted{size: 80_000, pieces: rand.New(rand.NewPCG(1, 1))}, false, c.now)
	defer in.Close()
	buf, got := make([][2]float64, 800), 0
	in.Read(buf) // it begins here
	for range 400 {
		c.at = c.at.Add(5 * time.Millisecond)
		for waited := 0; ; waited++ {
			n, err := in.Read(buf)
			if err != nil {
				t.Fatal(err)
			}
			got += n
			if due := int(c.at.Sub(time.Unix(1, 0)).Seconds()*8000 + 0.5); got >= due-1 || waited > 1000 {
				break
			}
			time.Sleep(time.Millisecond) // for the goroutine that reads ahead
		}
	}
	if got < 16000-80 || got > 16000 {
		t.Errorf("%d frames in 2 s of 8000 a second", got)
	}
}

// TestRaw: frames are what their bytes say, and what is no sound is silence.
func TestRaw(t *testing.T) {
	b := bytesOf(1)
	for _, x := range []float64{0.25, math.Inf(1), math.NaN(), -1e20} {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(x)))
	}
	buf := make([][2]float64, 8)
	n, err := Raw(bytes.NewReader(b), nil).Next(buf)
	if n != 3 || err != nil || buf[1] != [2]float64{0.25, 0} || buf[2] != [2]float64{} {
		t.Errorf("%d frames, %v: %v", n, err, buf[:n])
	}
}

// TestRingLoses: what is not read in time is silence, and the count stays true.
func TestRingLoses(t *testing.T) {
	r := newRing(4)
	for i := range 6 {
		r.put([][2]float64{frameOf(i + 1)})
	}
	buf := make([][2]float64, 10)
	n, _ := r.take(buf)
	if n != 6 || buf[0] != [2]float64{} || buf[1] != [2]float64{} || buf[2] != frameOf(3) || buf[5] != frameOf(6) {
		t.Errorf("%v", buf[:n])
	}
}

// TestMoments: packets that come up to 20 ms late tell when frames were captured to a
// millisecond, at a clock 100 ppm off.
func TestMoments(t *testing.T) {
	t.Parallel()
	const rate = 48000
	m, r := moments{rate: rate}, rand.New(rand.NewPCG(1, 2))
	for i := range 2000 {
		captured := time.Duration(float64(i+1) * 240 / (rate * 1.0001) * float64(time.Second))
		m.came(240, captured+time.Duration(r.IntN(20_000))*time.Microsecond)
		if off := m.at(captured) - float64(i+1)*240; i > 100 && math.Abs(off) > rate/1000 {
			t.Fatalf("packet %d: %.0f frames off", i, off)
		}
	}
}

func FuzzRaw(f *testing.F) {
	f.Add(bytesOf(3), 2)
	f.Fuzz(func(t *testing.T, b []byte, room int) {
		s := Raw(bytes.NewReader(b), nil)
		buf, got := make([][2]float64, 1+room&1023), 0
		for {
			n, err := s.Next(buf)
			got += n
			if err != nil {
				break
			}
			for _, x := range buf[:n] {
				if x != x || math.Abs(x[0]) > loudest || math.Abs(x[1]) > loudest {
					t.Fatalf("%v came in", x)
				}
			}
		}
		if got != len(b)/rawFrame {
			t.Fatalf("%d frames of %d bytes", got, len(b))
		}
	})
}

// TestRealTimePulse listens to a private server's device: as many frames come in as
// time passes, and once the server has ended the input is gone.
func TestRealTimePulse(t *testing.T) {
	server := reftest.StartPulse(t, 48000)
	in, err := Device(Options{Server: server.Server, Device: server.Monitor})
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	if in.Rate() != 48000 {
		t.Fatalf("%d frames a second", in.Rate())
	}
	buf, got := make([][2]float64, 4800), 0
	read := func(until func(since time.Duration) bool) time.Time {
		began := time.Now()
		for !until(time.Since(began)) {
			n, err := in.Read(buf)
			if err != nil {
				t.Fatal(err)
			}
			got += n
			time.Sleep(5 * time.Millisecond)
		}
		return began
	}
	// A virtual device has 2 s rendered ahead, and stands still as long at first.
	read(func(since time.Duration) bool { return got > 9600 || since > reftest.Patience })
	got = 0
	first := in.Captured(time.Now())
	began := read(func(since time.Duration) bool { return since > 2*time.Second })
	if want := time.Since(began).Seconds() * 48000; math.Abs(float64(got)-want) > 4800 {
		t.Errorf("%d frames came in, want some %.0f", got, want)
	}
	if passed, want := in.Captured(time.Now())-first, time.Since(began).Seconds()*48000; math.Abs(passed-want) > 960 {
		t.Errorf("%.0f frames captured, want %.0f", passed, want)
	}
	t.Logf("latency %v", in.Latency())
	server.Kill()
	for began = time.Now(); time.Since(began) < reftest.Patience; time.Sleep(5 * time.Millisecond) {
		if _, err = in.Read(buf); err != nil {
			break
		}
	}
	if !errors.Is(err, ErrGone) {
		t.Errorf("after the server has ended: %v", err)
	}
}
