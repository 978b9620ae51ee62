package deck

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
)

// TestSilentDeviceHolds: a device that plays nothing for longer than 0.3 s is a
// hold on the frame last heard, which says why; a resume is refused while it
// sleeps, and goes on from that very frame when it is awake.
func TestSilentDeviceHolds(t *testing.T) {
	for why, suspended := range map[string]bool{"it is suspended": true, "it has played nothing for 0.3 s": false} {
		r := liveRig(t, func(*Config) {})
		out := newDozing(t, &r.now, suspended)
		r.cfg.Reopen = func() (playback.Output, error) {
			out = newDozing(t, &r.now, suspended)
			if suspended {
				out.sleep()
			}
			return out, nil
		}
		r.Deck.out = out
		r.command(show.Arm)
		r.command(show.Start)
		r.play(3 * time.Second)
		out.sleep()
		r.step()
		first, at := out, r.t.Heard()
		after := r.play(2 * time.Second)
		if r.t.State() != show.Held || r.t.Heard() != at || after < 290*time.Millisecond || after > 330*time.Millisecond {
			t.Fatalf("%s: %v at %d after %v; want held at %d after 0.3 s", why, r.t.State(), r.t.Heard(), after, at)
		}
		r.show()
		if s := r.Snapshot(); !s.Lost || !s.Trouble || s.Message.Urgency != Alarm || s.Message.Text != "HELD: the sound device went silent: "+why {
			t.Errorf("lost %v, message %q", s.Lost, s.Message.Text)
		}
		r.Deck.log.drain()
		entries := entriesOf(t, r)
		if e := entries[len(entries)-1]; e.By != show.ByEngine || !reflect.DeepEqual(e.Data, session.Data{Cause: show.CauseDeviceSilent}) {
			t.Errorf("held by %s: %+v", e.By, e.Data)
		}
		if e := entries[len(entries)-2]; e.Kind != session.KindDevice || e.Data.Error != why {
			t.Errorf("before the hold the log has %s: %+v", e.Kind, e.Data)
		}
		r.command(show.Resume)
		if suspended {
			if r.t.State() != show.Held || !strings.HasPrefix(r.message.Text, "cannot resume: the sound device is suspended") {
				t.Errorf("%v, %q after a resume on a device that sleeps", r.t.State(), r.message.Text)
			}
			out.wake()
			r.command(show.Resume)
		}
		r.play(time.Second)
		if heard := append(first.heard(), out.heard()...); r.t.State() != show.Running || len(heard) < 3*rate {
			t.Errorf("%v after the device woke, %d frames heard", r.t.State(), len(heard))
		} else {
			for i, f := range heard {
				if f[0] != float64(i) {
					t.Fatalf("%s: frame %v is heard at place %d", why, f[0], i)
				}
			}
		}
	}
}

// TestNoFalseStandstill: what only looks like a device that stands still is none.
func TestNoFalseStandstill(t *testing.T) {
	ms := func(n int) time.Duration { return time.Duration(n) * time.Millisecond }
	type look struct {
		after         time.Duration
		at, to, times int
	}
	for what, c := range map[string]struct {
		until time.Duration
		looks []look
		want  bool
	}{
		"it plays":                             {0, []look{{ms(5), 240, 4800, 0}, {ms(295), 240, 4800, 1}, {ms(10), 241, 4800, 0}, {ms(5), 241, 4800, 58}}, false},
		"it stands":                            {0, []look{{ms(5), 240, 4800, 1}, {ms(5), 240, 4800, 61}}, true},
		"it ran dry":                           {0, []look{{ms(5), 4800, 4800, 400}}, false},
		"it ran dry, then got more":            {0, []look{{ms(5), 4800, 4800, 400}, {ms(5), 4800, 9600, 60}}, false},
		"it has yet to begin":                  {ms(500), []look{{ms(5), 0, 4800, 159}}, false},
		"it never begins":                      {ms(500), []look{{ms(5), 0, 4800, 161}}, true},
		"this computer looked away":            {0, []look{{ms(5), 240, 4800, 1}, {time.Hour, 240, 4800, 1}, {ms(5), 480, 4800, 1}}, false},
		"the clock was put back":               {0, []look{{ms(5), 240, 4800, 1}, {-time.Hour, 240, 4800, 1}, {ms(5), 240, 4800, 59}}, false},
		"the clock was put back, it stands":    {0, []look{{ms(5), 240, 4800, 1}, {-time.Hour, 240, 4800, 1}, {ms(5), 240, 4800, 61}}, true},
		"the second half of a long standstill": {0, []look{{ms(5), 240, 4800, 1}, {ms(90), 240, 4800, 3}, {ms(5), 480, 9600, 1}, {ms(90), 480, 9600, 3}}, false},
		"it was just opened":                   {-settles, []look{{ms(5), 240, 4800, 490}}, false},
	} {
		var s standstill
		now := ownEpoch
		if c.until < 0 {
			s.opened(now)
		}
		s.begin(now, 0, c.until)
		silent := false
		for _, l := range c.looks {
			for range l.times {
				now = now.Add(l.after)
				silent = silent || s.look(now, timebase.Frame(l.at), timebase.Frame(l.to))
			}
		}
		if silent != c.want {
			t.Errorf("%s: counts as silent: %v", what, silent)
		}
	}
}

// TestGapHeardLate: a gap for want of frames is heard, behind a long latency, while
// there are frames again: it is no standstill of the device; a later one is.
func TestGapHeardLate(t *testing.T) {
	var s standstill
	now := ownEpoch
	s.begin(now, 0, 0)
	stands := func(d time.Duration) (silent bool) {
		for range d / (5 * time.Millisecond) {
			now = now.Add(5 * time.Millisecond)
			silent = silent || s.look(now, 240, 4800)
		}
		return silent
	}
	stands(5 * time.Millisecond)
	s.ranDry(now, 5*time.Second)
	if stands(4900 * time.Millisecond) {
		t.Error("a gap that was heard late counts as a silent device")
	}
	if stands(300 * time.Millisecond) {
		t.Error("silent before its time")
	}
	if !stands(200 * time.Millisecond) {
		t.Error("a device that stands still after a gap goes unnoticed")
	}
}
