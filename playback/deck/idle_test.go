package deck

import (
	"fmt"
	"strings"
	"testing"

	"drylane/playback"
	"drylane/show"
	"drylane/show/session"
)

// TestLostWhileIdle: a device that goes away while the show is armed or held is known
// at once, logged, and no hold; what it does while the show is safe is not asked.
func TestLostWhileIdle(t *testing.T) {
	for state, actions := range map[show.State][]show.Action{show.Safe: nil, show.Armed: {show.Arm}, show.Held: {show.Arm, show.Start, show.Hold}} {
		r := newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, nil, "", true)
		for _, a := range actions {
			r.command(a)
		}
		r.out.broken = fmt.Errorf("%w: the server closed the connection", playback.ErrDeviceGone)
		r.step()
		r.show()
		s := r.Snapshot()
		if want := state != show.Safe; s.Lost != want || s.Transport.State() != state || strings.Contains(s.Message.Text, "went away") != want {
			t.Errorf("%v: lost %t, %v, message %q", state, s.Lost, s.Transport.State(), s.Message.Text)
		}
		told := 0
		for _, e := range entriesOf(t, r) {
			if e.Kind == session.KindDevice && e.Data.Cause == show.CauseDeviceLost {
				told++
			}
		}
		if (told == 1) != (state != show.Safe) {
			t.Errorf("%v: told %d times in the log", state, told)
		}
		if state == show.Safe {
			continue
		}
		r.out.broken = nil // it is back, and opened again by the key that needs it
		r.act(show.ByShooter, show.ScriptAction{Kind: show.KindGo}, r.clock.Now(), r.t.Heard())
		if r.t.State() != show.Running {
			t.Errorf("%v after it came back: %s", r.t.State(), r.message.Text)
		}
	}
}
