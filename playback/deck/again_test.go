package deck

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/session"
)

// TestResumeAsksAgain: with something up or a line unticked a resume is done only
// when it is asked for a second time, and a hold or a cut in between, the key that
// repeats, or too long a wait is no second time.
func TestResumeAsksAgain(t *testing.T) {
	const lead = "+0 arm\n+0 start\n1 hold\n"
	const refused = "refused 1 still up, 1 line unticked"
	for _, tt := range []struct{ name, script, want string }{
		{"once", lead + "+1 resume", refused},
		{"anyway", lead + "+1 resume anyway\n2 cut", "resumed 1 1, cut"},
		{"twice", lead + "+1 resume\n+2.9 resume\n2 cut", refused + ", resumed 1 1, cut"},
		{"too late", lead + "+1 resume\n+3 resume", refused + ", " + refused},
		{"the key repeats", lead + "+1 resume\n+0.5 resume\n+0.1 resume\n+0.1 resume", refused},
		{"held on", lead + "+1 resume\n+1 hold\n+1 resume", refused + ", " + refused},
		{"nothing left", lead + "+9 tick all\n+0 resume\n2 cut", "resumed 0 0, cut"},
		{"unticked alone", lead + "+9 resume\n+1 resume\n2 cut", "refused 1 line unticked, resumed 1 0, cut"},
		{"up alone", lead + "+1 tick\n+0 resume", "refused 1 still up"},
	} {
		cues := []show.Cue{{ID: "1", EffectAt: 500 * time.Millisecond, Burn: 8 * time.Second, Position: "Quay"}}
		r := newRig(t, &ramp{length: 3 * rate, breaksAt: 1 << 40}, cues, tt.script, false)
		r.cfg.Checklist = []string{"crew clear"}
		if err := r.Run(t.Context()); err != nil {
			t.Errorf("%s: %v", tt.name, err)
		}
		var came []string
		for _, e := range entriesOf(t, r) {
			switch e.Kind {
			case session.KindRefused:
				why, _, _ := strings.Cut(strings.TrimPrefix(e.Data.Text, "cannot resume yet: "), ";")
				came = append(came, "refused "+why)
			case "resumed":
				came = append(came, fmt.Sprintf("resumed %d %d", e.Data.Unticked, e.Data.Up))
			case "cut":
				came = append(came, "cut")
			}
		}
		if got := strings.Join(came, ", "); got != tt.want {
			t.Errorf("%s: %s\nwant %s", tt.name, got, tt.want)
		}
	}
}

// TestAgainIsShown: the snapshot says what is to be asked for again, and for how
// long.
func TestAgainIsShown(t *testing.T) {
	r := newRig(t, &ramp{length: 3 * rate, breaksAt: 1 << 40}, nil, "", true)
	r.cfg.Checklist = []string{"crew clear"}
	for _, a := range []show.Action{show.Arm, show.Start, show.Hold} {
		r.command(a)
	}
	r.act(show.ByShooter, show.ScriptAction{Kind: show.KindGo}, r.clock.Now(), r.t.Heard())
	r.show()
	s := r.Snapshot()
	if s.Again.Action != show.Resume || s.Again.Why != "1 line unticked" || s.Again.Until.Sub(s.Wall).Round(100*time.Millisecond) != 3*time.Second {
		t.Errorf("%+v", s.Again)
	}
	r.command(show.Hold)
	if r.show(); r.Snapshot().Again != (Again{}) {
		t.Error("it is still to be asked for after a hold")
	}
}
