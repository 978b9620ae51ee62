package output

import (
	"io"
	"math/rand"
	"os"
	"testing"
	"time"

	"drylane/playback"
	"drylane/testdata/reftest"

	"pgregory.net/rapid"
)

// A rig is an output and a way to let time pass for it.
type rig struct {
	out     playback.Output
	advance func(time.Duration)
}

// fataler is what conform needs of *testing.T and *rapid.T.
type fataler interface {
	Helper()
	Fatalf(string, ...any)
}

// conform drives a fresh output with steps random calls, draw(n) being a choice
// from 0 to n-1, and holds it to the contract of playback.Output. At the end all
// that was written must be heard.
func conform(t fataler, r rig, steps int, draw func(n int) int) {
	t.Helper()
	c := &conformance{t: t, rig: r, src: noise(1<<16, 9)}
	for range steps {
		switch draw(8) {
		case 0, 1, 2:
			c.write(draw(r.out.Space() + 1))
		case 3:
			c.overfill()
		case 4:
			c.start()
		case 5, 6:
			r.advance(time.Duration(draw(60)) * time.Millisecond)
		case 7:
			c.hold()
		}
		c.check()
	}
	c.start()
	for range 200 {
		if c.check(); c.heard == c.written {
			break
		}
		r.advance(10 * time.Millisecond)
	}
	if c.heard != c.written {
		t.Fatalf("%d frames heard in the end, want all %d", c.heard, c.written)
	}
	for range 2 {
		if err := r.out.Close(); err != nil {
			t.Fatalf("Close: %v", err)
		}
	}
	if r.out.Space() != 0 || r.out.Write(c.src[:1]) == nil || r.out.Start() == nil {
		t.Fatalf("a closed output goes on")
	}
	if _, err := r.out.Hold(); err == nil {
		t.Fatalf("a closed output holds without an error")
	}
}

type conformance struct {
	t fataler
	rig
	src            [][2]float64
	heard, written int64
	playing        bool
}

func (c *conformance) write(n int) {
	c.t.Helper()
	if err := c.out.Write(c.src[:n]); err != nil {
		c.t.Fatalf("Write: %v", err)
	}
	c.written += int64(n)
}

// overfill writes one frame more than there is space for even after all time
// that this may take.
func (c *conformance) overfill() {
	if err := c.out.Write(c.src); err == nil {
		c.t.Fatalf("%d frames were taken, with space for %d", len(c.src), c.out.Space())
	}
}

func (c *conformance) start() {
	c.t.Helper()
	if err := c.out.Start(); err != nil {
		c.t.Fatalf("Start: %v", err)
	}
	c.playing = true
}

func (c *conformance) hold() {
	c.t.Helper()
	h, err := c.out.Hold()
	if err != nil || h < c.heard || h > c.written {
		c.t.Fatalf("Hold: %d, %v; heard %d, written %d", h, err, c.heard, c.written)
	}
	if !c.playing && h != c.heard {
		c.t.Fatalf("a hold while held went from %d to %d", c.heard, h)
	}
	c.heard, c.written, c.playing = h, h, false
}

func (c *conformance) check() {
	c.t.Helper()
	h, err := c.out.Heard()
	if err != nil || h < c.heard || h > c.written {
		c.t.Fatalf("Heard: %d, %v; heard %d, written %d", h, err, c.heard, c.written)
	}
	if !c.playing && h != c.heard {
		c.t.Fatalf("the clock runs while held: %d, %d", c.heard, h)
	}
	c.heard = h
	if l := c.out.Latency(); l < 0 || l > time.Second {
		c.t.Fatalf("latency %v", l)
	}
	if s := c.out.Space(); s < 0 || s > 9600 {
		c.t.Fatalf("space for %d", s)
	}
}

func TestConformSilent(t *testing.T) {
	for _, speed := range []float64{1, 0.1, 20, 0} {
		rapid.Check(t, func(t *rapid.T) {
			now := time.Unix(0, 0)
			out := Silent(Options{Rate: 44100, Speed: speed}, func() time.Time { return now })
			pass := func(d time.Duration) { now = now.Add(d) }
			conform(t, rig{out, pass}, 60, rapidDraw(t))
		})
	}
}

func TestConformWAV(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		f, err := os.CreateTemp(t.TempDir(), "")
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		out, err := WAV(Options{Rate: 44100}, f, playback.WAVInt16)
		if err != nil {
			t.Fatal(err)
		}
		conform(rt, rig{out, func(time.Duration) {}}, 60, rapidDraw(rt))
	})
}

func TestConformFeed(t *testing.T) {
	t.Parallel()
	for _, rate := range []int{48000, 44100} {
		for _, extra := range []time.Duration{0, 300 * time.Millisecond} {
			rapid.Check(t, func(t *rapid.T) {
				d := newPullDevice(t, Options{Rate: rate, Latency: extra}, 48000)
				conform(t, rig{d.feed, d.advance}, 60, rapidDraw(t))
			})
		}
	}
}

func TestRealTimePulseConforms(t *testing.T) {
	server := reftest.StartPulse(t, 48000)
	for _, rate := range []int{48000, 44100} {
		for _, extra := range []time.Duration{0, 150 * time.Millisecond} {
			rng := rand.New(rand.NewSource(int64(rate)))
			out := openTest(t, server, Options{Rate: rate, Latency: extra})
			conform(t, rig{out, time.Sleep}, 60, rng.Intn)
		}
	}
}

func rapidDraw(t *rapid.T) func(int) int {
	return func(n int) int { return rapid.IntRange(0, n-1).Draw(t, "") }
}

// A pullDevice is a device for a feed: a small buffer that is refilled through
// Read, then a fixed delay. It keeps what has left it.
type pullDevice struct {
	feed   *feed
	at     time.Time
	rate   int
	buffer []byte
	line   []byte // of the fixed delay
	heard  []byte
	owed   time.Duration
}

func newPullDevice(t fataler, o Options, rate int) *pullDevice {
	t.Helper()
	o, err := o.checked()
	if err != nil {
		t.Fatalf("%v", err)
	}
	d := &pullDevice{rate: rate, at: time.Unix(0, 0)}
	const delay = 20 * time.Millisecond
	if d.feed, err = newFeed(o, rate, delay, func() time.Time { return d.at }); err != nil {
		t.Fatalf("%v", err)
	}
	d.feed.buffered = func() int { return len(d.buffer) }
	d.line = make([]byte, int(frames(delay, rate))*frameBytes)
	return d
}

// advance plays for a while, in steps as a device does.
func (d *pullDevice) advance(t time.Duration) {
	const step = 3 * time.Millisecond
	for d.owed += t; d.owed >= step; d.owed -= step {
		d.at = d.at.Add(step)
		n := int(frames(step, d.rate)) * frameBytes
		for chunk := make([]byte, 4096); len(d.buffer) < 2*n; {
			k, err := d.feed.Read(chunk)
			if err != nil || k == 0 {
				panic(io.ErrNoProgress)
			}
			d.buffer = append(d.buffer, chunk[:k]...)
		}
		d.line = append(d.line, d.buffer[:n]...)
		d.buffer = append(d.buffer[:0], d.buffer[n:]...)
		d.heard = append(d.heard, d.line[:n]...)
		d.line = append(d.line[:0], d.line[n:]...)
	}
}
