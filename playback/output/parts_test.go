package output

import (
	"bytes"
	"encoding/binary"
	"math"
	"net"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// TestClockLine: readings on a straight line with some jitter are followed to
// within it, and the device's own limit holds.
func TestClockLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := clock{rate: 48000, keep: 50 * time.Millisecond}
		for ms := int64(0); ms < 400; ms += 10 {
			jitter := rapid.Int64Range(-48, 48).Draw(t, "jitter") // 1 ms
			c.add(reading{time.Duration(ms) * time.Millisecond, 48*ms + jitter, math.MaxInt64})
		}
		for ms := int64(345); ms < 450; ms++ {
			pos, ok := c.at(time.Duration(ms) * time.Millisecond)
			if d := pos - 48*ms; !ok || d < -60 || d > 60 {
				t.Fatalf("at %d ms: %d frames off", ms, d)
			}
		}
	})
}

func TestClockLimits(t *testing.T) {
	c := clock{rate: 48000}
	if _, ok := c.at(0); ok {
		t.Error("a position before the first reading")
	}
	c.add(reading{0, 100, 500})
	for _, w := range []struct {
		at  time.Duration
		pos int64
	}{
		{time.Millisecond, 148},
		{time.Second, 500}, // the device had no more
	} {
		if pos, ok := c.at(w.at); !ok || pos != w.pos {
			t.Errorf("at %v: %d, want %d", w.at, pos, w.pos)
		}
	}
	c.add(reading{time.Second, 500, 1 << 40})
	if pos, _ := c.at(time.Hour); pos != 500+9600 {
		t.Errorf("an hour after the last reading: %d, want it carried on for 200 ms only", pos)
	}
	if _, ok := c.at(-time.Second); ok {
		t.Error("a position before the first reading")
	}
}

// TestNoClick holds a full-scale low tone a hundred times: from frame to frame
// nothing jumps further than the tone's own slope and the fade's together.
func TestNoClick(t *testing.T) {
	const rate = 48000
	d := newPullDevice(t, Options{Rate: rate}, rate)
	tone := func(at, n int64) [][2]float64 {
		out := make([][2]float64, n)
		for i := range out {
			v := math.Cos(2 * math.Pi * 80 * float64(at+int64(i)) / rate)
			out[i] = [2]float64{v, -v}
		}
		return out
	}
	at := int64(0)
	for k := range 100 {
		n := int64(d.feed.Space())
		if err := d.feed.Write(tone(at, n)); err != nil {
			t.Fatal(err)
		}
		d.feed.Start()
		d.advance(time.Duration(10+k%37) * time.Millisecond)
		h, err := d.feed.Hold()
		if err != nil {
			t.Fatal(err)
		}
		at = h
		d.advance(60 * time.Millisecond)
	}
	got := make([][2]float32, len(d.heard)/frameBytes)
	binary.Decode(d.heard, binary.LittleEndian, got)
	slope := 2*math.Pi*80/rate + math.Pi/2/240
	music := 0
	for music < len(got) && got[music] == [2]float32{} {
		music++
	}
	for i := music + 1; i < len(got); i++ {
		if jump := math.Abs(float64(got[i][0] - got[i-1][0])); jump > slope {
			t.Fatalf("frame %d: a jump of %.4f, want at most %.4f", i, jump, slope)
		}
	}
}

// TestWirePacket takes apart what is sent, by the descriptor's layout in
// PulseAudio's pstream.c: length, channel, offset high, offset low, flags.
func TestWirePacket(t *testing.T) {
	client, server := net.Pipe()
	defer client.Close()
	defer server.Close()
	w := &wire{Conn: client, packet: make(chan struct{}, 2)}
	sent := make(chan error, 1)
	go func() {
		w.hold()
		// A packet of the library's, in two writes, with a payload of one byte.
		w.Write(append(make([]byte, 3), 1, 0xff, 0xff, 0xff, 0xff, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0))
		w.Write([]byte{'x'})
		w.data(7, 1<<32, [][2]float32{{1, -2}})
		sent <- w.release()
	}()
	got := make([]byte, 21+28)
	if _, err := server.Read(got); err != nil {
		t.Fatal(err)
	}
	if err := <-sent; err != nil {
		t.Fatal(err)
	}
	want := []byte{0, 0, 0, 8, 0, 0, 0, 7, 0, 0, 0, 8, 0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0x80, 0x3f, 0, 0, 0, 0xc0}
	if got[20] != 'x' || !bytes.Equal(got[21:], want) {
		t.Errorf("packet % x, want % x", got[21:], want)
	}
}

// BenchmarkHeard is the cost of one look at the clock while music plays.
func BenchmarkHeard(b *testing.B) {
	d := newPullDevice(b, Options{Rate: 44100}, 48000)
	d.feed.Write(make([][2]float64, d.feed.Space()))
	d.feed.Start()
	d.advance(50 * time.Millisecond)
	b.ReportAllocs()
	for b.Loop() {
		d.feed.Heard()
	}
}
