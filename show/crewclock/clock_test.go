package crewclock

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// A link is two clocks and the way between them, simulated. All times within are
// true time.
type link struct {
	ahead time.Duration // of the lead's clock
	fast  float64       // ... in ppm
}

func (l link) lead(at time.Duration) time.Duration {
	return at + l.ahead + time.Duration(math.Round(float64(at)*l.fast/1e6))
}

// exchange is a request at a moment of the own clock, which is true.
func (l link) exchange(at, out, lies, back time.Duration) Sample {
	return Sample{Sent: at, Got: l.lead(at + out), Left: l.lead(at + out + lies), Came: at + out + lies + back}
}

// TestBoundHolds: whatever the paths, the lead's true time lies within the bound, at
// once and later.
func TestBoundHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := link{time.Duration(rapid.Int64Range(0, int64(time.Hour)).Draw(t, "ahead")), rapid.Float64Range(-100, 100).Draw(t, "ppm")}
		span := func(most time.Duration, what string) time.Duration {
			return time.Duration(rapid.Int64Range(0, int64(most)).Draw(t, what))
		}
		c, at := New(), span(time.Minute, "begin")
		for range rapid.IntRange(1, 80).Draw(t, "exchanges") {
			s := l.exchange(at, span(50*ms, "out"), span(5*ms, "lies"), span(50*ms, "back"))
			if !c.Add(s) {
				t.Fatalf("a true sample was left out: %+v", s)
			}
			at = s.Came + span(time.Second, "pause")
			r, ok := c.At(at)
			if !ok {
				t.Fatal("nothing is known after a sample")
			}
			if off := (r.Lead(at) - l.lead(at)).Abs(); off > r.Bound {
				t.Fatalf("off by %v, said within %v", off, r.Bound)
			}
		}
		if c.Anew() > 0 {
			t.Fatalf("the clock began anew %d times, and nothing happened to it", c.Anew())
		}
	})
}

// TestOneSidedPath: 40 ms out and none back is taken for 20 ms each way, so the
// estimate is wrong by 20 ms, and the bound says so.
func TestOneSidedPath(t *testing.T) {
	l, c := link{ahead: time.Minute}, New()
	var at time.Duration
	for range 40 {
		s := l.exchange(at, 40*ms, 0, 0)
		c.Add(s)
		at = s.Came + 250*ms
	}
	r, _ := c.At(at)
	off := r.Lead(at) - l.lead(at)
	if off < 19*ms || off > 21*ms {
		t.Errorf("the estimate is off by %v; wanted about 20 ms", off)
	}
	if r.Bound < off || r.Bound > 21*ms {
		t.Errorf("the bound is %v; wanted 20 ms and a little", r.Bound)
	}
}

// TestRate: a clock that runs 80 ppm fast is told within the bound of its two best
// points, and then followed for a minute without a sample.
func TestRate(t *testing.T) {
	l, c := link{ahead: time.Second, fast: -80}, New()
	for i := range 240 {
		c.Add(l.exchange(time.Duration(i)*250*ms, 100*time.Microsecond, 0, 100*time.Microsecond))
	}
	r, _ := c.At(60 * time.Second)
	if !r.Rated || math.Abs(r.Rate+80) > 10 {
		t.Errorf("the rate is %.1f ppm, known: %v; wanted -80", r.Rate, r.Rated)
	}
	later, _ := c.At(120 * time.Second)
	off := (later.Lead(120*time.Second) - l.lead(120*time.Second)).Abs()
	if off > later.Bound || later.Bound > ms {
		t.Errorf("after a minute alone it is off by %v, said within %v; wanted less than 1 ms", off, later.Bound)
	}
}

// TestStep: a clock that jumps, as that of a computer that slept, is believed after
// one sample.
func TestStep(t *testing.T) {
	l, c := link{ahead: time.Second}, New()
	for i := range 40 {
		c.Add(l.exchange(time.Duration(i)*250*ms, ms, 0, ms))
	}
	l.ahead = 3 * time.Second
	c.Add(l.exchange(11*time.Second, ms, 0, ms))
	r, _ := c.At(11 * time.Second)
	if off := (r.Offset - 3*time.Second).Abs(); off > r.Bound || c.Anew() != 1 {
		t.Errorf("off by %v, said within %v, began anew %d times", off, r.Bound, c.Anew())
	}
}

// TestNotBelieved: samples that cannot be true change nothing.
func TestNotBelieved(t *testing.T) {
	c := New()
	if _, ok := c.At(0); ok {
		t.Error("something is known of nothing")
	}
	c.Add(away(time.Second, time.Second, ms, ms))
	before, _ := c.At(2 * time.Second)
	for _, s := range []Sample{
		{Sent: 20 * ms, Got: 0, Left: 0, Came: 10 * ms},
		away(0, 0, 0, 0), // older than the latest
		{Sent: 2 * time.Second, Got: 0, Left: time.Hour, Came: 3 * time.Second},
	} {
		if c.Add(s) {
			t.Errorf("%+v was believed", s)
		}
	}
	if after, _ := c.At(2 * time.Second); after != before {
		t.Errorf("it was %+v and is %+v", before, after)
	}
}

// TestThereAndBack: Own is the inverse of Lead.
func TestThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := Reading{At: time.Hour, Offset: time.Duration(rapid.Int64Range(-1e12, 1e12).Draw(t, "offset")), Rate: rapid.Float64Range(-200, 200).Draw(t, "rate")}
		own := r.At + time.Duration(rapid.Int64Range(-1e10, 1e10).Draw(t, "own"))
		if back := r.Own(r.Lead(own)); (back - own).Abs() > 2 {
			t.Fatalf("there and back is %v off", back-own)
		}
	})
}

// FuzzClock: whatever comes over the wire, the clock neither breaks nor promises less
// than half a round trip.
func FuzzClock(f *testing.F) {
	f.Add(int64(0), int64(1), int64(1), int64(2), int64(3), int64(4))
	f.Add(int64(-1), int64(math.MaxInt64), int64(math.MinInt64), int64(math.MaxInt64), int64(5), int64(0))
	f.Fuzz(func(t *testing.T, sent, got, left, came, got2, after int64) {
		c := New()
		c.Add(Sample{time.Duration(sent), time.Duration(got), time.Duration(left), time.Duration(came)})
		c.Add(Sample{time.Duration(came), time.Duration(got2), time.Duration(got2), time.Duration(after)})
		r, ok := c.At(c.lastAt)
		if ok && r.Bound < r.Delay/2 {
			t.Errorf("said within %v after a round trip of %v", r.Bound, r.Delay)
		}
	})
}
