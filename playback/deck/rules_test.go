package deck

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/show/timebase"
)

// TestStopsForbidArming: a script's arm and a person's are refused in the same
// words, and taken when the stop is gone.
func TestStopsForbidArming(t *testing.T) {
	const words = "cannot arm: soundtrack.mp3 has changed; cue 7 is at no position"
	open := []string{"soundtrack.mp3 has changed", "cue 7 is at no position"}
	for by, script := range map[show.By]string{show.ByScript: "+0 arm\n+1 note mended\n+0 arm\n+0 start", show.ByShooter: ""} {
		r := newRig(t, &ramp{length: rate, breaksAt: 1 << 40}, list(1, 500e6), script, script == "")
		stops := open
		r.cfg.Stops = func() []string { return stops }
		if by == show.ByScript {
			r.cfg.Stops = func() []string { // until a second has passed
				if r.clock.Now().Sub(ownEpoch) >= time.Second {
					return nil
				}
				return open
			}
			if err := r.Run(t.Context()); err != nil {
				t.Fatal(err)
			}
		} else {
			r.show()
			if s := r.Snapshot(); CannotArm(s.Stops) != words {
				t.Errorf("the snapshot has %q", s.Stops)
			}
			r.command(show.Arm)
			if r.t.State() != show.Safe || r.message.Text != words || r.message.Urgency != Alarm {
				t.Errorf("%v, and it says %q", r.t.State(), r.message.Text)
			}
			stops = nil
			r.command(show.Arm)
			if r.t.State() != show.Armed {
				t.Errorf("%v with no stop left", r.t.State())
			}
			r.Deck.log.drain()
		}
		var told []string
		for _, e := range entriesOf(t, r) {
			if e.Kind == session.KindRefused && (e.By != by || e.Data.Asked != "arm" || e.Data.Text != words) {
				t.Errorf("refused to the %s: %+v", e.By, e.Data)
			}
			told = append(told, e.Kind)
		}
		if got := strings.Join(told, " "); !strings.HasPrefix(got, "refused ") || strings.Count(got, "armed") != 1 {
			t.Errorf("%s: %s", by, got)
		}
	}
}

// TestCountIn: a resume is counted in, for a script as for a person. A hold or a
// cut ends the count, a second resume cuts it short unless it is the key that
// repeats, and what a drill does meanwhile comes on its moment.
func TestCountIn(t *testing.T) {
	const lead = "+0 arm\n+0 start\n1 hold\n+2 "
	for _, tt := range []struct {
		name, script string
		want         string // what came, and how long after the hold
	}{
		{"counted", lead + "resume\n2.5 cut", "resumed 5.0, cut 6.5"},
		{"the script ends", lead + "resume", "resumed 5.0, ended 7.0"},
		{"cut short", lead + "resume\n+1 resume", "resumed 3.0, ended 5.0"},
		{"the key repeats", lead + "resume\n+0.3 resume\n+0.09 resume\n2.5 cut", "resumed 5.0, cut 6.5"},
		{"held on", lead + "resume\n+1 hold again\n+9 cut", "cut 12.0"},
		{"held on, and resumed", lead + "resume\n+2.9 hold\n+1 resume", "resumed 8.9, ended 10.9"},
		{"cut", lead + "resume\n+2.5 cut\n+4 note still safe", "cut 4.5, note 8.5"},
		{"a note", lead + "resume\n+1 note beat one", "note 3.0, resumed 5.0, ended 7.0"},
	} {
		r := newRig(t, &ramp{length: 3 * rate, breaksAt: 1 << 40}, list(2, 500e6), tt.script, false)
		r.cfg.CountIn = 3 * time.Second
		if err := r.Run(t.Context()); err != nil {
			t.Errorf("%s: %v", tt.name, err)
		}
		var came []string
		var held time.Time
		for _, e := range entriesOf(t, r) {
			switch e.Kind {
			case "held":
				held = e.Wall
			case "resumed", "cut", "ended", "note":
				came = append(came, fmt.Sprintf("%s %.1f", e.Kind, e.Wall.Sub(held).Seconds()))
			}
			if e.Kind == "resumed" && time.Duration(e.Data.HeldNS) != e.Wall.Sub(held) {
				t.Errorf("%s: held for %v, resumed after %v", tt.name, time.Duration(e.Data.HeldNS), e.Wall.Sub(held))
			}
		}
		if got := strings.Join(came, ", "); got != tt.want {
			t.Errorf("%s: %s, want %s", tt.name, got, tt.want)
		}
	}
}

// TestCountInOfADrill: a step that falls into a count-in comes on its moment.
func TestCountInOfADrill(t *testing.T) {
	r := newRig(t, &ramp{length: 3 * rate, breaksAt: 1 << 40}, nil, "+0 arm\n+0 start\n1 hold\n+2 resume\n2 cut", false)
	r.cfg.CountIn = 3 * time.Second
	r.cfg.Director = &plannedSteps{byMusic: map[timebase.Frame]drill.Step{},
		inHold: map[time.Duration]drill.Step{4 * time.Second: {Name: "clear", Do: drill.Radio, From: "spotter", Text: "clear"}}}
	if err := r.Run(t.Context()); err != nil {
		t.Fatal(err)
	}
	var held time.Time
	came := ""
	for _, e := range entriesOf(t, r) {
		if e.Kind == "held" {
			held = e.Wall
		} else if !held.IsZero() {
			came += fmt.Sprintf("%s %v, ", e.Kind, e.Wall.Sub(held))
		}
	}
	if came != "drill 4s, resumed 5s, cut 6s, closed 6s, " {
		t.Error(came)
	}
}

// TestCountInIsShown: the snapshot says when the show resumes, and stops saying
// so with a hold.
func TestCountInIsShown(t *testing.T) {
	r := newRig(t, &ramp{length: 3 * rate, breaksAt: 1 << 40}, nil, "", true)
	r.cfg.CountIn = 2 * time.Second
	for _, a := range []show.Action{show.Arm, show.Start, show.Hold, show.Resume} {
		r.command(a)
	}
	shown := func() time.Duration {
		r.show()
		if s := r.Snapshot(); !s.ResumesAt.IsZero() {
			return s.ResumesAt.Sub(s.Wall).Round(100 * time.Millisecond)
		}
		return 0
	}
	if got := shown(); r.t.State() != show.Held || got != 2*time.Second {
		t.Errorf("%v, resumes in %v", r.t.State(), got)
	}
	if r.command(show.Hold); shown() != 0 {
		t.Error("the count goes on after a hold")
	}
}
