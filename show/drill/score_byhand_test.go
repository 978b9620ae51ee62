package drill

import (
	"strings"
	"testing"
)

// Word that it is clear came at 30.0 s, and before anything was resumed another call
// to stay, or to cut: whoever resumed late, or not at all, did as the last call said,
// and the time to the resume counts neither way. Without one it is the 3.0 s between
// the word and the resume, and a call that comes behind the resume is too late to
// matter.
func TestCallToStayComesFirst(t *testing.T) {
	for _, tt := range []struct {
		name          string
		before, after Want
		grade         Grade
		says          string
	}{
		{"nothing more", WantNothing, WantNothing, Good, "resumed 3 s after the call"},
		{"stay held", WantHold, WantNothing, LeftOut, "another call to stay held came first"},
		{"cut", WantCut, WantNothing, LeftOut, "another call to stay held came first"},
		{"stay held, after the resume", WantNothing, WantHold, Good, "resumed 3 s after the call"},
	} {
		r := newRig(t)
		r.start()
		r.play(20_000)
		r.step("person", Radio, WantHold)
		r.play(22_000)
		r.hold("person")
		r.wait(8000)
		r.step("clear", Radio, WantResume)
		r.wait(1000)
		if tt.before != WantNothing {
			r.step("back", Radio, tt.before)
		}
		r.resumeAfter(9000, 2000)
		if tt.after != WantNothing {
			r.step("back", Radio, tt.after)
		}
		r.end()
		l := r.score(&Exercise{Drill: &Drill{}}, Measure{Kind: TimeToResume, Step: "clear", Good: 3, Pass: 6}).Lines[0]
		if l.Grade != tt.grade || !strings.Contains(l.Says, tt.says) {
			t.Errorf("%s: %s, %q; want %s, %q", tt.name, l.Grade, l.Says, tt.grade, tt.says)
		}
	}
}
