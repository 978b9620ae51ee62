package output

import (
	"math/rand"
	"strings"
	"testing"
	"time"

	"drylane/testdata/reftest"
)

// TestSilentTimed starts and holds a silent output at chosen places of a clock
// that the test moves; the frames are worked by hand.
func TestSilentTimed(t *testing.T) {
	now := time.Unix(1000, 0)
	out := Silent(Options{Rate: 48000, Speed: 1}, func() time.Time { return now }).(Timed)
	if err := out.Write(make([][2]float64, 4000)); err != nil {
		t.Fatal(err)
	}
	if err := out.StartAt(now.Add(20 * time.Millisecond)); err != nil {
		t.Fatal(err)
	}
	now = now.Add(15 * time.Millisecond)
	if h, err := out.Heard(); h != 0 || err != nil {
		t.Errorf("%d frames heard before the start (%v)", h, err)
	}
	now = now.Add(15 * time.Millisecond) // 10 ms after it
	if h, _ := out.Heard(); h != 480 {
		t.Errorf("%d frames heard, want 480", h)
	}
	if f, ok := out.Sounding(now.Add(100 * time.Millisecond)); f != 5280 || !ok {
		t.Errorf("frame %d sounds in 100 ms (%v), want 5280", f, ok)
	}
	for ask, want := range map[int64]int64{0: 480, 480: 480, 700: 700, 5000: 4000} {
		if f, err := out.CanHold(ask); f != want || err != nil {
			t.Errorf("a hold at %d can be at %d (%v), want %d", ask, f, err, want)
		}
	}
	if f, err := out.HoldAt(700); f != 700 || err != nil {
		t.Errorf("held at %d (%v), want 700", f, err)
	}
	if h, _ := out.Heard(); h != 700 {
		t.Errorf("heard %d after a hold at 700", h)
	}
	if _, ok := out.Sounding(now); ok {
		t.Error("something sounds in a hold")
	}
}

// TestRealTimePulseTimed starts two streams of one device at one moment and holds both
// at one frame, twenty times over, and tells from a recording of the device by
// how much they are apart: by nothing, or by what one is said to have of latency
// that its device does not tell of.
func TestRealTimePulseTimed(t *testing.T) {
	reftest.RealTime(t)
	if testing.Short() {
		t.Skip("plays for half a minute, and wants the machine's attention")
	}
	for _, extra := range []time.Duration{0, 40 * time.Millisecond} {
		t.Run(extra.String(), func(t *testing.T) {
			pulseTimed(t, extra)
		})
	}
}

func pulseTimed(t *testing.T, extra time.Duration) {
	const rate = 48000
	server := reftest.StartPulse(t, rate)
	rec := reftest.Record(t, server.Server, server.Monitor, rate)
	src := noise(20*rate, 1)
	var outs [2]*pulse
	var play [2]*player
	for i := range outs {
		outs[i] = openTest(t, server, Options{Rate: rate, Buffer: 300 * time.Millisecond, Latency: time.Duration(i) * extra})
		half := make([][2]float64, len(src))
		for k, f := range src {
			half[k][i] = f[i] // one plays on the left, the other on the right
		}
		play[i] = &player{t: t, out: outs[i], src: half}
	}
	var holds []int64
	late := 0
	for range 20 {
		var when time.Time
		for i, o := range outs {
			play[i].fill()
			soonest, err := o.Soonest()
			if err != nil {
				t.Fatal(err)
			}
			if soonest.After(when) {
				when = soonest
			}
		}
		for _, o := range outs {
			if err := o.StartAt(when.Add(5 * time.Millisecond)); err != nil {
				t.Fatal(err)
			}
		}
		for range 20 {
			time.Sleep(5 * time.Millisecond)
			play[0].fill()
			play[1].fill()
		}
		at, err := outs[0].CanHold(0)
		if err != nil {
			t.Fatal(err)
		}
		if at, err = outs[1].CanHold(at); err != nil {
			t.Fatal(err)
		}
		for i, o := range outs {
			h, err := o.HoldAt(at)
			if err != nil || h < at {
				t.Errorf("output %d held at %d (%v), want %d", i, h, err, at)
			}
			if h > at {
				late++
			}
			play[i].at = h
		}
		holds = append(holds, at)
		time.Sleep(2 * extra) // until the other has stopped as well
	}
	time.Sleep(300 * time.Millisecond)
	apart := apartness(rec.Frames(t, 1), src, rate)
	t.Logf("frames apart after each start: %v; holds at %v", apart, holds)
	if len(apart) < 20 {
		t.Errorf("%d stretches of sound recorded, want 20", len(apart))
	}
	far := 0
	for _, d := range apart {
		d += int(frames(extra, rate))
		if d < -rate/2000 || d > rate/2000 {
			far++
		}
	}
	if far > reftest.Late || late > reftest.Late {
		t.Errorf("%d starts of 20 were more than 0.5 ms apart, %d holds of 40 came too late", far, late)
	}
}

// apartness tells, for every stretch of the tape that sounds, by how many
// frames the right is behind the left, each traced to where in src it is from.
func apartness(tape [][2]float32, src [][2]float64, rate int) []int {
	const n = 3
	var index [2]map[[n]float32]int
	for ch := range index {
		index[ch] = map[[n]float32]int{}
		for i := 0; i+n <= len(src); i++ {
			index[ch][[n]float32{float32(src[i][ch]), float32(src[i+1][ch]), float32(src[i+2][ch])}] = i
		}
	}
	var out []int
	var quiet int
	for i := 0; i+n <= len(tape); i++ {
		l, okL := index[0][[n]float32{tape[i][0], tape[i+1][0], tape[i+2][0]}]
		r, okR := index[1][[n]float32{tape[i][1], tape[i+1][1], tape[i+2][1]}]
		if !okL || !okR {
			quiet++
			continue
		}
		if quiet > rate/100 {
			out = append(out, l-r)
		}
		quiet = 0
	}
	return out
}

// TestLine: a device that takes 10 ms at a time, readings that come up to 3 ms
// late and some that are off by 30 ms: within 1 ms of where it is, also after
// it has stood still for a while.
func TestLine(t *testing.T) {
	const rate = 48000
	rng := rand.New(rand.NewSource(3))
	l := line{rate: rate}
	var stood time.Duration
	truth := func(at time.Duration) int64 { return frames(at-stood, rate) + 777 }
	for k := range 400 {
		at := time.Duration(k) * 10100 * time.Microsecond
		if k == 200 {
			stood = 250 * time.Millisecond
		}
		off := time.Duration(rng.Intn(10000)-5000) * time.Microsecond
		if k%20 == 7 {
			off += 30 * time.Millisecond
		}
		l.add(reading{at: at + time.Duration(rng.Intn(3000))*time.Microsecond, pos: truth(at + off + 1500*time.Microsecond)})
		if k < 100 || k >= 200 && k < 310 {
			continue
		}
		for _, ahead := range []time.Duration{-20 * time.Millisecond, 0, 300 * time.Millisecond} {
			pos, ok := l.at(at + ahead)
			if d := pos - truth(at+ahead); !ok || d < -rate/1000 || d > rate/1000 {
				t.Fatalf("reading %d: off by %d frames", k, d)
			}
			when, ok := l.when(pos)
			if back := when - (at + ahead); !ok || back.Abs() > time.Second/rate {
				t.Fatalf("position %d is at %v, %v from there", pos, when, back)
			}
		}
	}
}

// TestLineMoves: a device that tells its place closely, and stands still for
// 7 ms, is followed within 60 ms.
func TestLineMoves(t *testing.T) {
	l := line{rate: 48000}
	for k := range 120 {
		at := time.Duration(k) * 10 * time.Millisecond
		stood := int64(0)
		if k >= 100 {
			stood = 336
		}
		l.add(reading{at: at, pos: frames(at, 48000) - stood + int64(k%5)})
		if pos, _ := l.at(at); k >= 105 && (frames(at, 48000)-pos-stood > 5 || frames(at, 48000)-pos-stood < -5) {
			t.Fatalf("reading %d: off by %d frames", k, frames(at, 48000)-pos-stood)
		}
	}
}

func TestRealTimePulseDevices(t *testing.T) {
	server := reftest.StartPulse(t, 48000)
	server.Control(t, "load-module", "module-null-sink", "sink_name=booth", "sink_properties=device.description=Headphones")
	for name, want := range map[string]string{
		"booth": "Headphones", "HEAD": "Headphones", "rehearsal": "Rehearsal", "": "Rehearsal",
		"attic": `found no sound device like "attic"; wanted one of: rehearsal (Rehearsal), booth (Headphones)`,
		"h":     `found several sound devices like "h"; wanted one of: rehearsal (Rehearsal), booth (Headphones)`,
	} {
		o, _ := Options{Rate: 48000, Server: server.Server, Device: name}.checked()
		p, err := openPulse(o)
		if err != nil {
			if err.Error() != want {
				t.Errorf("%q: %v\nwant %s", name, err, want)
			}
			continue
		}
		if !strings.HasSuffix(p.Name(), ", "+want) {
			t.Errorf("%q: %s, want %s", name, p.Name(), want)
		}
		p.Close()
	}
}
