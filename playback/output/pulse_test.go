package output

import (
	"errors"
	"fmt"
	"math/rand"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/testdata/reftest"
)

// TestRealTimePulseHoldsAreExact plays noise through a private server, holds and
// resumes twenty times, and finds in a recording of what the device played
// every frame once, in order, the fades where they belong and nothing else: at
// equal rates to the bit, else to the bit of an unbroken conversion.
func TestRealTimePulseHoldsAreExact(t *testing.T) {
	const device = 48000
	for _, rate := range []int{48000, 44100} {
		t.Run(fmt.Sprint(rate), func(t *testing.T) {
			server := reftest.StartPulse(t, device)
			rec := server.Tape(t, device)
			p := openTest(t, server, Options{Rate: rate})
			rng := rand.New(rand.NewSource(1))
			play := &player{t: t, out: p, src: noise(20*rate, 1)}
			var holds []int64
			for range 20 {
				play.start()
				play.until(play.at + int64(rng.Intn(rate/8)))
				play.hold()
				holds = append(holds, reached(p.render))
				time.Sleep(time.Duration(rng.Intn(80)) * time.Millisecond)
			}
			time.Sleep(300 * time.Millisecond) // until the recording has it all
			checkRecording(t, rec.Frames(t, 1), converted(t, play.src, rate, device), holds, frames(fade, device), p.Underruns(), p.late)
		})
	}
}

// TestRealTimePulseStopsSoon holds against the clock: what sounds after the call is no
// longer than 50 ms. The server's own answer, in frames, is the measure, so
// that a busy machine does not count.
func TestRealTimePulseStopsSoon(t *testing.T) {
	const rate = 48000
	p := openTest(t, reftest.StartPulse(t, rate), Options{Rate: rate})
	play := &player{t: t, out: p, src: noise(20*rate, 1)}
	for range 5 {
		play.start()
		play.until(play.at + rate/10)
		before, err := p.Heard()
		if err != nil {
			t.Fatal(err)
		}
		called := time.Since(p.epoch)
		h := play.hold()
		busy := time.Since(p.epoch) - called
		if after := duration(h-before, rate); after > 50*time.Millisecond+busy {
			t.Errorf("music goes on for %v, want at most 50ms (the call took %v)", after, busy)
		}
	}
}

// TestRealTimePulseUnderrun starves the output: the clock stands still at what was
// written, the underrun is counted when music goes on, and no frame is lost.
func TestRealTimePulseUnderrun(t *testing.T) {
	const rate = 48000
	server := reftest.StartPulse(t, rate)
	rec := server.Tape(t, rate)
	p := openTest(t, server, Options{Rate: rate})
	src := noise(rate, 1)
	play := &player{t: t, out: p, src: src[:4000]}
	play.start()
	play.until(4000)
	time.Sleep(100 * time.Millisecond)
	if h, err := p.Heard(); h != 4000 || err != nil || p.Underruns() != 0 {
		t.Fatalf("heard %d, %v, %d underruns; want 4000 at the end of the music, no underrun", h, err, p.Underruns())
	}
	play.src = src[:12000]
	play.until(12000)
	if p.Underruns() < 1 {
		t.Error("music went on after a gap and no underrun was counted")
	}
	time.Sleep(200 * time.Millisecond)
	checkRecording(t, rec.Frames(t, 1), src, []int64{12000}, 0, p.Underruns(), p.late)
}

// TestRealTimePulseCoasts lets silence follow the music, as where a server will not
// play the last few frames by themselves, then goes on: no frame is lost. A hold
// in the silence is at the end of the music.
func TestRealTimePulseCoasts(t *testing.T) {
	const rate = 48000
	server := reftest.StartPulse(t, rate)
	rec := server.Tape(t, rate)
	p := openTest(t, server, Options{Rate: rate})
	src := noise(rate, 1)
	play := &player{t: t, out: p, src: src[:4000]}
	play.start()
	p.coast()
	play.until(4000)
	time.Sleep(50 * time.Millisecond)
	play.src = src[:9000]
	play.until(9000)
	if p.Underruns() < 1 {
		t.Error("music went on after a gap and no underrun was counted")
	}
	p.coast()
	if h := play.hold(); h != 9000 {
		t.Errorf("a hold after the music is at %d, want 9000", h)
	}
	time.Sleep(200 * time.Millisecond)
	checkRecording(t, rec.Frames(t, 1), src, []int64{9000}, 0, p.Underruns(), p.late)
}

// TestRealTimePulseKeepsTime runs for two seconds: what is heard and what the device
// has recorded differ by no more than the recording's blocks.
func TestRealTimePulseKeepsTime(t *testing.T) {
	const rate = 44100
	server := reftest.StartPulse(t, 48000)
	p := openTest(t, server, Options{Rate: rate})
	play := &player{t: t, out: p, src: noise(4*rate, 1)}
	play.start()
	h0 := play.until(rate / 4)
	t0 := time.Since(p.epoch)
	h1 := play.until(rate/4 + 2*rate)
	t1 := time.Since(p.epoch)
	// The virtual sink goes by the same machine's clock.
	if off := duration(h1-h0, rate) - (t1 - t0); p.Underruns() == 0 && (off < -5*time.Millisecond || off > 5*time.Millisecond) {
		t.Errorf("the clock is off by %v after 2 s", off)
	}
}

// TestRealTimePulseGone loses the device in each way there is.
func TestRealTimePulseGone(t *testing.T) {
	for name, lose := range map[string]func(*reftest.Pulse){
		"server killed": (*reftest.Pulse).Kill,
		"device pulled": func(s *reftest.Pulse) { s.Control(t, "unload-module", "module-null-sink") },
	} {
		t.Run(name, func(t *testing.T) {
			const rate = 48000
			server := reftest.StartPulse(t, rate)
			p := openTest(t, server, Options{Rate: rate})
			play := &player{t: t, out: p, src: noise(rate, 1)}
			play.start()
			play.until(3000)
			lose(server)
			for deadline := time.Now().Add(reftest.Patience); ; time.Sleep(time.Millisecond) {
				if _, err := p.Heard(); errors.Is(err, playback.ErrDeviceGone) {
					break
				}
				if time.Now().After(deadline) {
					t.Fatal("the loss is not noticed")
				}
			}
			_, errHold := p.Hold()
			for what, err := range map[string]error{"Write": p.Write(play.src[:1]), "Start": p.Start(), "Hold": errHold} {
				if !errors.Is(err, playback.ErrDeviceGone) {
					t.Errorf("%s: %v, want %v", what, err, playback.ErrDeviceGone)
				}
			}
			if p.Space() != 0 {
				t.Error("there is space for frames that nobody plays")
			}
			if err := p.Close(); err != nil {
				t.Errorf("Close: %v", err)
			}
		})
	}
}

func TestDeviceWithoutServer(t *testing.T) {
	if _, err := openPulse(Options{Rate: 48000, Buffer: DefaultBuffer, Server: "unix:" + t.TempDir() + "/none"}); err == nil {
		t.Fatal("no error without a server")
	}
}

// TestRealTimePulseBufferTooShort asks for less than the device holds.
func TestRealTimePulseBufferTooShort(t *testing.T) {
	server := reftest.StartPulse(t, 48000)
	o, _ := Options{Rate: 48000, Buffer: 40 * time.Millisecond, Server: server.Server}.checked()
	p, err := openPulse(o)
	if err == nil {
		p.Close()
		t.Fatal("a buffer of 40ms was taken")
	}
	if !strings.Contains(err.Error(), "40ms") {
		t.Errorf("%q does not say what was asked for", err)
	}
}
