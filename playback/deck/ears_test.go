package deck

import (
	"errors"
	"math"
	"strings"
	"testing"

	"drylane/show"
	"drylane/show/timebase"

	"github.com/faiface/beep"
)

// backwards is a companion to a ramp: frame i carries -i.
type backwards struct{ ramp }

func (b *backwards) Stream(samples [][2]float64) (int, bool) {
	n, ok := b.ramp.Stream(samples)
	for i := range samples[:n] {
		samples[i][0] = -samples[i][0]
	}
	return n, ok
}

// liveRig is a rig that is armed and started, and moved by hand.
func liveRig(t *testing.T, change func(*Config)) *rig {
	t.Helper()
	r := newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, list(15, 100e6), "", true)
	r.cfg.Music.Seek(0)
	change(&r.cfg)
	r.ears, r.second = newEars(r.cfg.Companions, r.cfg.Listen), newSecond(r.cfg.Second, r.muteSides)
	return r
}

// command does a, whatever it leaves open.
func (r *rig) command(a show.Action) {
	r.act(show.ByShooter, show.ScriptAction{Command: show.Command{Action: a, Anyway: true}}, r.clock.Now(), r.t.Heard())
	r.step()
}

// TestListen goes from the music to a companion and back while it plays, and
// holds before, in and after the crossfades: every frame is heard once, from one
// source, from the other, or between the two where one gives way; the bangs
// sound with the music alone.
func TestListen(t *testing.T) {
	other := &backwards{ramp{length: 10 * rate, breaksAt: 1 << 40}}
	opened := 0
	r := liveRig(t, func(c *Config) {
		c.Companions = []Companion{{Name: "code.wav", Open: func() (beep.StreamSeeker, error) { opened++; return other, nil }}}
	})
	r.command(show.Arm)
	r.command(show.Start)
	fade := int(timebase.FrameAt(crossfade, rate))
	from := map[int]int{} // where each source sets in
	for i := range 60 {
		r.out.hear(997)
		r.step()
		if i%6 == 2 {
			source := 1 - r.ears.next()
			r.Listen(source)
			r.await(func() bool { return r.ears.next() == source })
			from[int(r.ears.swaps[len(r.ears.swaps)-1].at)] = source
		}
		if i%6 == 3 && i > 30 { // not heard yet, or just now
			r.out.hear(i * 20)
			r.command(show.Hold)
			for at, source := range from { // what was to set in later does so from the hold on
				if at > int(r.t.Heard()) {
					delete(from, at)
					from[int(r.t.Heard())-fade] = source
				}
			}
			r.command(show.Resume)
		}
	}
	if opened != 1 {
		t.Errorf("opened %d times, want once", opened)
	}
	heard, mixed := 0, 0
	for f, s := range r.out.heard {
		source, since := 0, 1<<40
		for at, to := range from {
			if d := f - at; d >= 0 && d < since {
				source, since = to, d
			}
		}
		want := float64(f) * float64(1-2*source)
		switch {
		case since < fade:
			mixed++
			if s[0] < -float64(f) || s[0] > float64(f) {
				t.Fatalf("frame %d, in a crossfade: %v", f, s[0])
			}
		case s[0] != want:
			t.Fatalf("frame %d: heard %v, want %v", f, s[0], want)
		case source == 1 && s[1] != 0:
			t.Fatalf("frame %d: a bang sounds in the companion", f)
		}
		heard++
	}
	if heard < rate || mixed < 5*fade {
		t.Errorf("%d frames heard, %d of them in crossfades", heard, mixed)
	}
}

// TestListeningIsSaid: the snapshot names what is heard, not what is rendered.
func TestListeningIsSaid(t *testing.T) {
	r := liveRig(t, func(c *Config) {
		c.Companions = []Companion{{Name: "code.wav", Stream: &backwards{ramp{length: 10 * rate, breaksAt: 1 << 40}}}}
		c.Listen = 1
	})
	check := func(listening string, source int) {
		t.Helper()
		r.show()
		if s := r.Snapshot(); s.Listening != listening || s.Source != source {
			t.Errorf("%q is heard and source %d asked for; want %q, %d", s.Listening, s.Source, listening, source)
		}
	}
	check("code.wav", 1)
	r.command(show.Arm)
	r.command(show.Start)
	r.Listen(0)
	r.step()
	check("code.wav", 0)
	r.out.hear(4000)
	r.step()
	r.out.hear(1000)
	r.step()
	check("", 0)
	r.Listen(7) // there is none
	r.step()
	check("", 0)
}

// TestCompanionNeverHolds: one that cannot be opened, and one that breaks.
func TestCompanionNeverHolds(t *testing.T) {
	short := &backwards{ramp{length: 10 * rate, breaksAt: 8000, err: errors.New("the disk is gone")}}
	r := liveRig(t, func(c *Config) {
		c.Companions = []Companion{{Name: "short.wav", Stream: short},
			{Name: "calls.wav", Open: func() (beep.StreamSeeker, error) { return nil, errors.New("no voice") }}}
		c.Listen = 1
	})
	r.command(show.Arm)
	r.command(show.Start)
	r.Listen(2)
	r.await(func() bool { return r.message.Urgency == Alarm })
	if !strings.Contains(r.message.Text, "calls.wav cannot be heard: no voice") || r.ears.opening != 0 {
		t.Errorf("message %q", r.message.Text)
	}
	for range 10 {
		r.out.hear(1000)
		r.step()
	}
	if !strings.Contains(r.message.Text, "short.wav is silent: the disk is gone") || r.t.State() != show.Running {
		t.Errorf("%v, message %q", r.t.State(), r.message.Text)
	}
	if f := r.out.heard[9000]; f != [2]float64{} {
		t.Errorf("%v is heard after the break, want silence", f)
	}
}

// Over four frames the one comes as sin^2 of 11.25, 33.75, 56.25 and 78.75 degrees,
// 0.0381, 0.3087, 0.6913, 0.9619, in one go or in parts.
func TestFadeOver(t *testing.T) {
	t.Parallel()
	to := [][2]float64{{1, -1}, {1, -1}, {1, -1}, {1, -1}}
	from := make([][2]float64, 4)
	fadeOver(to[:1], from, 0, 4)
	fadeOver(to[1:], from, 1, 4)
	for i, want := range []float64{0.0381, 0.3087, 0.6913, 0.9619} {
		if math.Abs(to[i][0]-want) > 5e-5 || to[i][1] != -to[i][0] {
			t.Errorf("frame %d: %.4f; want %.4f and its opposite", i, to[i], want)
		}
	}
}
