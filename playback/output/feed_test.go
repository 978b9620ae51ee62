package output

import (
	"encoding/binary"
	"errors"
	"math/rand"
	"testing"
	"time"

	"drylane/playback"
)

// TestFeedHoldsAreExact holds and resumes through a made-up device and finds
// every frame once in what left it, as TestPulseHoldsAreExact does, for rates
// above and below the device's.
func TestFeedHoldsAreExact(t *testing.T) {
	const device = 48000
	for _, rate := range []int{22050, 32000, 44100, 48000, 96000} {
		d := newPullDevice(t, Options{Rate: rate}, device)
		rng := rand.New(rand.NewSource(1))
		src := noise(6*rate, 1)
		var holds []int64
		at := 0
		fill := func() {
			n := min(d.feed.Space(), len(src)-at)
			if err := d.feed.Write(src[at : at+n]); err != nil {
				t.Fatal(err)
			}
			at += n
		}
		for range 20 {
			fill()
			if err := d.feed.Start(); err != nil {
				t.Fatal(err)
			}
			for range rng.Intn(60) {
				d.advance(time.Duration(rng.Intn(5)) * time.Millisecond)
				fill()
			}
			h, err := d.feed.Hold()
			if err != nil {
				t.Fatal(err)
			}
			at = int(h)
			holds = append(holds, reached(d.feed.render))
			d.advance(time.Duration(rng.Intn(100)) * time.Millisecond)
		}
		d.advance(200 * time.Millisecond)
		got := make([][2]float32, len(d.heard)/frameBytes)
		if _, err := binary.Decode(d.heard, binary.LittleEndian, got); err != nil {
			t.Fatal(err)
		}
		checkRecording(t, got, converted(t, src, rate, device), holds, frames(fade, device), d.feed.Underruns(), 0)
	}
}

// TestFeedGone: a device that reports a failure, and one that just stops.
func TestFeedGone(t *testing.T) {
	d := newPullDevice(t, Options{Rate: 48000}, 48000)
	if err := d.feed.Start(); err != nil {
		t.Fatal(err)
	}
	d.at = d.at.Add(2 * time.Second)
	if _, err := d.feed.Heard(); !errors.Is(err, playback.ErrDeviceGone) {
		t.Errorf("after two seconds without a read: %v", err)
	}
	d = newPullDevice(t, Options{Rate: 48000}, 48000)
	cable := errors.New("cable pulled")
	d.feed.broken = func() error { return cable }
	if _, err := d.feed.Heard(); !errors.Is(err, playback.ErrDeviceGone) || !errors.Is(err, cable) {
		t.Errorf("after a failure: %v", err)
	}
}

func TestTimeline(t *testing.T) {
	var l timeline
	l.add(span{10, 0, 5})
	l.add(span{15, 5, 5}) // goes on: one span
	l.add(span{30, 10, 4})
	if len(l.spans) != 2 {
		t.Fatalf("%d spans, want 2", len(l.spans))
	}
	for _, c := range [][2]int64{{0, 0}, {10, 0}, {12, 2}, {19, 9}, {20, 10}, {29, 10}, {31, 11}, {99, 14}} {
		if got := l.music(c[0]); got != c[1] {
			t.Errorf("stream frame %d: music frame %d, want %d", c[0], got, c[1])
		}
	}
	l.forget(32)
	if len(l.spans) != 1 || l.music(31) != 11 {
		t.Errorf("after forgetting: %v", l.spans)
	}
}
