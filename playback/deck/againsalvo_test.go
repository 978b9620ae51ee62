package deck

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/session"
)

// againRig is a live deck on a clock of the test's, with twenty cues from 1 s on, 0.05 s
// apart.
func againRig(t *testing.T) (r *rig, now *time.Time) {
	var cues []show.Cue
	for i := range 20 {
		cues = append(cues, show.Cue{ID: fmt.Sprint(i + 1), EffectAt: time.Second + time.Duration(i)*50*time.Millisecond, Position: "A"})
	}
	r = newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, cues, "", true)
	now = new(time.Time)
	*now = ownEpoch
	r.clock.now = func() time.Time { return *now }
	return r, now
}

// againAsks are what a key asks for, by a letter each, beside those of asks.
func againAsks(key byte) show.ScriptAction {
	nudge := func(d time.Duration) show.ScriptAction {
		return show.ScriptAction{Command: show.Command{Action: show.Nudge, Step: d}}
	}
	switch key {
	case 'E':
		return nudge(2 * time.Second)
	case 'F':
		return nudge(1900 * time.Millisecond)
	case 'L':
		return nudge(-2 * time.Second)
	case 't':
		return show.ScriptAction{Kind: show.KindTap}
	}
	return asks[key]
}

// TestAskedAgain: what would make too many cues due at once is taken when the same key
// comes a second time, between 0.7 s and 3 s after it was refused, and nothing has been
// done or held in between.
func TestAskedAgain(t *testing.T) {
	for _, tt := range []struct {
		name, lead string
		keys       string // key, then how many tenths of a second pass until the next
		log        string
	}{
		{"once", "ag", "E", "together not nudge"},
		{"twice", "ag", "E9 E", "together not nudge, nudged"},
		{"the last moment", "ag", "E29 E", "together not nudge, nudged"},
		{"too late", "ag", "E30 E", "together not nudge, together not nudge"},
		{"held down", "ag", "E1 E1 E1 E1 E1 E1 E1 E1 E1 E", "together not nudge"},
		{"held down, let go and pressed", "ag", "E3 E1 E1 E1 E1 E8 E", "together not nudge, nudged"},
		{"another step", "ag", "E9 F", "together not nudge, together not nudge"},
		{"a tap between", "ag", "E4 t5 E", "together not nudge, tap, nudged"},
		{"another nudge between", "ag", "E4 L5 E", "together not nudge, nudged, nudged"},
		{"a hold between", "ag", "E4 h5 E", "together not nudge, held, nudged"},
		{"a hold and a resume between", "ag", "E4 h2 g3 E", "together not nudge, held, resumed, together not nudge"},
		{"a resume, once", "aghE", "g", "together not resume"},
		{"a resume, twice", "aghE", "g9 g", "together not resume, resumed"},
		{"a resume, the key held down", "aghE", "g1 g1 g1 g1 g1 g1 g1 g1 g", "together not resume"},
		{"a resume, and a hold between", "aghE", "g5 h5 g", "together not resume, together not resume"},
		{"a resume, and a cut between", "aghE", "g5 c5 g", "together not resume, cut"},
		{"a resume, and more of it between", "aghE", "g5 F5 g", "together not resume, nudged, together not resume"},
		{"a start, twice", "aE", "g9 g", "together not start, started"},
		{"a start, and a cut between", "aE", "g5 c5 a3 g", "together not start, cut, armed, started"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r, now := againRig(t)
			press := func(key byte) {
				t.Helper()
				r.Do(againAsks(key), *now)
				r.out.hear(480)
				if _, err := r.Step(); err != nil {
					t.Fatal(err)
				}
			}
			for i := range tt.lead {
				*now = now.Add(4 * time.Second)
				press(tt.lead[i])
			}
			before := told(t, r)
			for _, k := range strings.Fields(tt.keys) {
				press(k[0])
				var tenths int
				fmt.Sscan(k[1:], &tenths)
				*now = now.Add(time.Duration(tenths) * 100 * time.Millisecond)
			}
			if log := strings.TrimPrefix(strings.TrimPrefix(told(t, r), before), ", "); log != tt.log {
				t.Errorf("log %q, want %q", log, tt.log)
			}
		})
	}
}

// TestAskedAgainWithACountIn: the second ask begins the count, and a third cuts it
// short; a nudge while it runs has the resume refused when it is over.
func TestAskedAgainWithACountIn(t *testing.T) {
	for _, tt := range []struct {
		keys  string // a second apart
		state show.State
	}{
		{"aghEgg", show.Held},
		{"aghEggg", show.Running},
		{"aghEgg....", show.Running},
		{"aghEggn...", show.Held},
	} {
		r, now := againRig(t)
		r.cfg.CountIn = 3 * time.Second
		for _, key := range tt.keys {
			*now = now.Add(time.Second)
			if key != '.' {
				r.Do(againAsks(byte(key)), *now)
			}
			r.out.hear(480)
			if _, err := r.Step(); err != nil {
				t.Fatal(err)
			}
		}
		if s := r.t.State(); s != tt.state {
			t.Errorf("keys %q: %v, want %v; it says %q", tt.keys, s, tt.state, r.message.Text)
		}
	}
}

// TestAskedAgainInWords: what is said of a salvo before it is let go, and after.
func TestAskedAgainInWords(t *testing.T) {
	r, now := againRig(t)
	said := func(key byte, want string) {
		t.Helper()
		*now = now.Add(time.Second)
		r.Do(againAsks(key), *now)
		r.out.hear(480)
		if _, err := r.Step(); err != nil {
			t.Fatal(err)
		}
		if r.message.Text != want {
			t.Errorf("%c: it says %q, want %q", key, r.message.Text, want)
		}
	}
	for _, key := range "ag" {
		said(byte(key), "")
	}
	would := "20 cues would come due at once, cues 1 to 20"
	const again = "; asked for again within 3 s it is done all the same"
	said('E', "cannot nudge yet: "+would+again)
	said('h', "")
	said('E', would+" with the resume")
	said('g', "cannot resume yet: "+would+again)
	*now = now.Add(againWithin + time.Millisecond)
	if r.step(); r.message.Text != "" {
		t.Errorf("3 s after it was refused it still says %q", r.message.Text)
	}
	said('g', "cannot resume yet: "+would+again)
	said('g', "20 cues were spread over 0.95 s: cues 1 to 20")
	if r.message.At.Before(r.since) {
		t.Error("what is said of a resume is of the time before it, and is not shown")
	}
}

// TestScriptSaysAnyway: a script's nudge is refused unless it says anyway; the log has
// what came due and replays.
func TestScriptSaysAnyway(t *testing.T) {
	var cues []show.Cue
	for i := range 20 {
		cues = append(cues, show.Cue{ID: fmt.Sprint(i + 1), EffectAt: time.Second + time.Duration(i)*50*time.Millisecond, Burn: time.Millisecond, Position: "A"})
	}
	r := newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, cues,
		"+0 arm\n+0 start\n0.2 nudge earlier 2\n0.3 nudge earlier 2 anyway\n0.7 hold\n+1 resume\n+0 resume anyway\n3 note end\n", false)
	if err := r.Run(t.Context()); err != nil {
		t.Fatal(err)
	}
	frames := map[int64]bool{}
	var salvo *session.Salvo
	var refused []string
	for _, e := range entriesOf(t, r) {
		switch e.Kind {
		case session.KindRefused:
			refused = append(refused, e.Data.Asked+": "+e.Data.Text)
		case show.EventNudged.String():
			salvo = e.Data.Salvo
		case show.EventFired.String():
			if frames[e.Heard] {
				t.Errorf("two cues on frame %d", e.Heard)
			}
			frames[e.Heard] = true
		}
	}
	if want := (session.Salvo{Cues: 20, First: "1", Last: "20", Frames: int64(at(0.95))}); salvo == nil || *salvo != want {
		t.Errorf("the nudge let go %+v, want %+v", salvo, want)
	}
	want := []string{`nudge: cannot nudge yet: 20 cues would come due at once, cues 1 to 20; "anyway" behind it does it all the same`,
		`resume: cannot resume yet: 14 cues would come due at once, cues 7 to 20; "anyway" behind it does it all the same`} // what the hold has left
	if !slices.Equal(refused, want) {
		t.Errorf("refused %q, want %q", refused, want)
	}
	if len(frames) != 20 {
		t.Errorf("%d cues fired, want 20", len(frames))
	}
}
