package deck

import (
	"strings"
	"testing"

	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
)

// TestWhoAsked: the log says of every command, tap, call and note whether it was
// the script's or the shooter's, and of what the instructor does that it was his.
func TestWhoAsked(t *testing.T) {
	scripted := newRig(t, &ramp{length: 4 * rate, breaksAt: 1 << 40}, list(3, 500e6), "+0 arm\n+0 start\n1 tap\n1.1 call late\n1.2 note gust\n1.3 arm\n+0 hold\n+1 silent\n+0 cut", false)
	if err := scripted.Run(t.Context()); err != nil {
		t.Fatal(err)
	}
	typed := newRig(t, &ramp{length: 4 * rate, breaksAt: 1 << 40}, list(3, 500e6), "", true)
	for _, a := range []show.ScriptAction{{Command: show.Command{Action: show.Arm, By: show.ByEngine}}, {Kind: show.KindNote, Text: "gust"}, {Command: show.Command{Action: show.Arm}}} {
		typed.Do(a, ownEpoch)
		typed.step()
	}
	when := ownEpoch
	typed.Instruct(drill.Step{Do: drill.MusicOff}, session.Data{Member: "Tom", Role: "trainer", When: &when, BoundNS: 5})
	typed.step()
	typed.Deck.log.drain()
	for want, r := range map[show.By]*rig{show.ByScript: scripted, show.ByShooter: typed} {
		var others []string
		seen := 0
		for _, e := range entriesOf(t, r) {
			switch {
			case e.By == want:
				seen++
			case e.Kind == session.KindDrill && e.By == show.ByInstructor:
				if d := e.Data; d.Do != "music off" || d.Member != "Tom" || d.Role != "trainer" || !d.When.Equal(when) || d.BoundNS != 5 {
					t.Errorf("a trainer's step is logged as %+v", d)
				}
			case e.Kind == "fired", e.Kind == session.KindClosed:
			default:
				others = append(others, e.Kind+" by "+string(e.By))
			}
		}
		if len(others) > 0 || seen < 3 {
			t.Errorf("%d entries of the %s; besides %s", seen, want, strings.Join(others, ", "))
		}
	}
}
