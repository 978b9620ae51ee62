package deck

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
)

// asks are what a key of the console asks for, by a letter each.
var asks = map[byte]show.ScriptAction{
	'a': {Command: show.Command{Action: show.Arm}},
	'g': {Kind: show.KindGo},
	'h': {Command: show.Command{Action: show.Hold}},
	'c': {Command: show.Command{Action: show.Cut}},
	'n': {Command: show.Command{Action: show.Nudge, Step: 100 * time.Millisecond}},
	'd': {Command: show.Command{Action: show.StandDown, Group: show.Group{By: show.LanesByPosition, Name: "A"}}},
	'b': {Command: show.Command{Action: show.BringBack, Group: show.Group{By: show.LanesByPosition, Name: "A"}}},
	's': {Kind: show.KindStay},
	'z': {Command: show.Command{Action: show.Hold, Cause: show.CauseSuspended}},
}

// stopsRig is a live deck on a clock of the test's.
func stopsRig(t *testing.T, countIn time.Duration) (r *rig, now *time.Time) {
	r = newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, list(3, time.Second), "", true)
	now = new(time.Time)
	*now = ownEpoch
	r.clock.now = func() time.Time { return *now }
	r.cfg.CountIn = countIn
	return r, now
}

// told lists what the log has, and of what was refused why.
func told(t *testing.T, r *rig) string {
	t.Helper()
	r.Deck.log.drain()
	var out []string
	for _, e := range entriesOf(t, r) {
		if e.Kind == session.KindRefused {
			e.Kind = strings.TrimSpace(fmt.Sprintf("%s not %s", e.Data.Cause, e.Data.Asked))
		}
		out = append(out, e.Kind)
	}
	return strings.Join(out, ", ")
}

// TestStopsWin: what the deck makes of keys that it finds together, each a
// millisecond after the one before, in whatever order they came in.
func TestStopsWin(t *testing.T) {
	for _, tt := range []struct {
		lead  string // each taken before the next
		keys  string // found together
		state show.State
		log   string // what came of keys
	}{
		{"ag h", "gh", show.Held, "overruled not resume"},
		{"ag h", "hg", show.Running, "resumed"},
		{"a", "gh", show.Armed, "overruled not start"},
		{"a", "ghg", show.Running, "overruled not start, started"},
		{"a", "gc", show.Safe, "overruled not start, cut"},
		{"", "agh", show.Safe, "overruled not arm"},
		{"", "agc", show.Safe, "overruled not arm, not cut"},
		{"", "h", show.Safe, "not hold"},
		{"a", "h", show.Armed, "not hold"},
		{"ag", "gh", show.Held, "held"}, // go has nothing to do in a running show
		{"ag", "nh", show.Held, "overruled not nudge, held"},
		{"ag", "hn", show.Held, "held, nudged"},
		{"ag d", "bh", show.Held, "overruled not bring back, held"},
		{"ag", "dh", show.Held, "stood down, held"},                                // a position is stood down whatever comes
		{"ag", "dchag", show.Running, "stood down, cut, not hold, armed, started"}, // a safe show is not held
		{"a", "z", show.Armed, ""},
		{"a", "gz", show.Armed, "overruled not start"},
		{"ag", "z", show.Held, "held"},
		{"ag h", "sg", show.Running, "resumed"},
	} {
		for _, turned := range []bool{false, true} {
			r, now := stopsRig(t, 0)
			step := func() {
				t.Helper()
				r.out.hear(480)
				if _, err := r.Step(); err != nil {
					t.Fatal(err)
				}
			}
			for i := range tt.lead {
				*now = now.Add(time.Second)
				if a, ok := asks[tt.lead[i]]; ok {
					r.Do(a, *now)
				}
				step()
			}
			before := told(t, r)
			*now = now.Add(time.Second)
			for i := range tt.keys {
				if turned {
					i = len(tt.keys) - 1 - i
				}
				r.Do(asks[tt.keys[i]], now.Add(time.Duration(i)*time.Millisecond))
			}
			step()
			log := strings.TrimPrefix(strings.TrimPrefix(told(t, r), before), ", ")
			if r.t.State() != tt.state || log != tt.log {
				t.Errorf("after %q, keys %q, turned %v: %v, log %q; want %v, %q", tt.lead, tt.keys, turned, r.t.State(), log, tt.state, tt.log)
			}
			if strings.HasPrefix(tt.log, "overruled") && !strings.Contains(r.message.Text, "a hold or a cut was asked for after it") {
				t.Errorf("after %q, keys %q: the screen is told %q", tt.lead, tt.keys, r.message.Text)
			}
		}
	}
}

// TestGo: what comes next in each state.
func TestGo(t *testing.T) {
	for lead, want := range map[string]show.State{"": show.Safe, "a": show.Running, "ag": show.Running, "agh": show.Running, "agc": show.Safe} {
		r, now := stopsRig(t, 0)
		for i := range len(lead) + 1 {
			*now = now.Add(time.Second)
			if r.Do(asks[(lead + "g")[i]], *now); i < len(lead) {
				r.Step()
			}
		}
		if r.Step(); r.t.State() != want || r.refused > 0 {
			t.Errorf("after %q: %v, %d refused; want %v", lead, r.t.State(), r.refused, want)
		}
	}
	r, now := stopsRig(t, 0)
	r.Do(asks['a'], *now)
	r.Do(asks['g'], *now)
	for range 2000 {
		r.Step()
		r.out.hear(480)
		if r.t.Heard() > 9*rate {
			r.t.Advance(20*rate, nil)
		}
	}
	if r.t.State() != show.Ended {
		t.Fatalf("%v", r.t.State())
	}
	r.Do(asks['g'], *now)
	if r.Step(); r.t.State() != show.Safe {
		t.Errorf("%v after go in a show that has ended", r.t.State())
	}
}

// TestLateIsTooLate: what comes in after a stop that was asked for later is
// refused, be the stop the shooter's, the instructor's or the engine's.
func TestLateIsTooLate(t *testing.T) {
	for name, stop := range map[string]func(r *rig, now time.Time){
		"hold": func(r *rig, now time.Time) { r.Do(asks['h'], now) },
		"cut":  func(r *rig, now time.Time) { r.Do(asks['c'], now); r.Step(); r.Do(asks['a'], now); r.Step() },
		"lost": func(r *rig, now time.Time) { r.out.broken = playback.ErrDeviceGone; r.Step(); r.out.broken = nil },
		"over": func(r *rig, now time.Time) {
			r.Instruct(drill.Step{Do: drill.Over}, session.Data{})
			r.Step()
			r.Do(asks['a'], now)
		},
	} {
		r, now := stopsRig(t, 0)
		for _, k := range []byte("ag") {
			r.Do(asks[k], *now)
			r.Step()
		}
		*now = now.Add(time.Second)
		stop(r, *now)
		r.Step()
		state := r.t.State()
		r.Do(asks['g'], now.Add(-time.Millisecond))
		r.Do(asks['n'], now.Add(-time.Millisecond))
		if r.Step(); r.t.State() != state || state == show.Running || r.t.Asked() != 0 {
			t.Errorf("%s: %v, and after a late key %v, nudged by %v", name, state, r.t.State(), r.t.Asked())
		}
		r.Do(asks['g'], now.Add(time.Millisecond))
		if r.Step(); r.t.State() != show.Running {
			t.Errorf("%s: %v after a key that came later", name, r.t.State())
		}
	}
}

// TestStopWhileTheDeviceOpens: a hold that comes while a resume waits for the
// device leaves the show held; not one frame is played.
func TestStopWhileTheDeviceOpens(t *testing.T) {
	r, now := stopsRig(t, 0)
	for _, k := range []byte("ag") {
		r.Do(asks[k], *now)
		r.Step()
	}
	r.out.broken = playback.ErrDeviceGone
	r.Step()
	next := &tape{space: 4800}
	r.cfg.Reopen = func() (playback.Output, error) {
		r.Do(asks['h'], now.Add(2*time.Second))
		*now = now.Add(3 * time.Second)
		return next, nil
	}
	r.Do(asks['g'], now.Add(time.Second))
	r.Step()
	if r.Step(); r.t.State() != show.Held || next.playing || len(next.queue) > 0 {
		t.Errorf("%v, playing %v, %d frames waiting", r.t.State(), next.playing, len(next.queue))
	}
}

// TestCountInKeys: keys during a count-in of two seconds. A key that is held down
// does not cut it short, and a stop that comes in late ends it as well.
func TestCountInKeys(t *testing.T) {
	const ms = time.Millisecond
	for name, tt := range map[string]struct {
		keys map[time.Duration]string // after go
		end  time.Duration            // resumed then; 0: never
	}{
		"none":           {nil, 2 * time.Second},
		"again":          {map[time.Duration]string{1000 * ms: "g"}, time.Second},
		"held down":      {map[time.Duration]string{660 * ms: "g", 700 * ms: "g", 740 * ms: "g", 1200 * ms: "g"}, 2 * time.Second},
		"hold":           {map[time.Duration]string{1990 * ms: "h"}, 0},
		"hold, go":       {map[time.Duration]string{500 * ms: "h", 600 * ms: "g"}, 2600 * ms},
		"other keys":     {map[time.Duration]string{500 * ms: "s"}, 0},
		"put to sleep":   {map[time.Duration]string{500 * ms: "z"}, 0},
		"nudge and down": {map[time.Duration]string{500 * ms: "nd"}, 2 * time.Second},
	} {
		r, now := stopsRig(t, 2*time.Second)
		for _, k := range []byte("agh") {
			r.Do(asks[k], *now)
			r.Step()
		}
		*now = now.Add(time.Second)
		began := *now
		r.Do(asks['g'], began)
		var end time.Duration
		for at := time.Duration(0); at < 5*time.Second; at += 10 * ms {
			*now = began.Add(at)
			for _, k := range []byte(tt.keys[at]) {
				r.Do(asks[k], *now)
			}
			if r.Step(); r.t.State() == show.Running {
				end = at
				break
			}
		}
		if end != tt.end {
			t.Errorf("%s: resumed %v after go, want %v", name, end, tt.end)
		}
	}
}
