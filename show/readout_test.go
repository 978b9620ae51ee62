package show

import "testing"

// A cue lit at 2 s whose effect is 3 s later, and a hold at 3 s: by hand, its effect comes
// 2 s into the hold, while the music stands still, if that lasts for 2 s; after a hold of
// 0.9 s the music is at 4.1 s by then. A cue that was not lit yet waits.
func TestSeenInHold(t *testing.T) {
	for _, c := range []struct {
		held int
		want bool
	}{{2000, true}, {3000, true}, {900, false}} {
		r := started(testPlan(ms(20_000), cueAt(5000, 3000, "A"), cueAt(9000, 3000, "A")))
		r.advance(frame(3000))
		if err := r.do(Command{Action: Hold}, frame(3000)); err != nil {
			t.Fatal(err)
		}
		if err := r.do(Command{Action: Resume, HeldFor: ms(c.held)}, frame(3000)); err != nil {
			t.Fatal(err)
		}
		if got := r.t.SeenInHold(0); got != c.want {
			t.Errorf("held for %d ms: %v, want %v", c.held, got, c.want)
		}
		if r.t.SeenInHold(1) {
			t.Errorf("held for %d ms: a cue that was not lit is seen", c.held)
		}
	}
}
