package drill

import (
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/session"
)

// none is an exercise with nothing in it.
func none() *Exercise { return &Exercise{Drill: &Drill{}} }

// planted is one whose whole list is late, by milliseconds.
func planted(n int64) *Exercise {
	x := none()
	x.Plants = []Plant{{Late: []time.Duration{ms(n)}}}
	return x
}

// person is a call that a person is in the fallout area at 20 s, a hold after
// so many milliseconds, word that it is clear so many after the hold, and the
// resume so many after that.
func person(r *rig, hold, clear, resume int64) {
	r.start()
	r.play(20_000)
	r.step("person", Radio, WantHold)
	r.play(20_000 + hold)
	r.hold("person")
	r.wait(clear)
	r.step("clear", Radio, WantResume)
	r.resumeAfter(clear, resume)
	r.end()
}

// resumeAfter resumes n milliseconds from now, in a hold that has lasted held.
func (r *rig) resumeAfter(held, n int64) {
	r.wait(n)
	r.do(show.Command{Action: show.Resume, HeldFor: ms(held + n)})
}

// TestMeasures works every measure out by hand. Cue n has its effect at
// 2+2n s and is lit a second before: cues are lit at 3, 5, 7, ... 57 s and
// burn out two seconds later.
func TestMeasures(t *testing.T) {
	growing := none()
	growing.Plants = []Plant{{Grow: []time.Duration{ms(1200)}}} // 20 ms a second
	tests := []struct {
		name string
		run  func(r *rig)
		x    *Exercise
		kind Kind
		step string
		want Value
		says string
	}{
		{"held", func(r *rig) { person(r, 2100, 8000, 1000) }, none(), TimeToHold, "person", 2.1, "held 2.1 s after the call"},
		// Cue 9 was lit at 19 s, before the call; cue 10 at 21 s, before the hold at 22.1 s.
		{"cues after the call", func(r *rig) { person(r, 2100, 8000, 1000) }, none(), CuesAfterCall, "person", 1, "1 cue fired"},
		{"no cue after the call", func(r *rig) { person(r, 900, 8000, 1000) }, none(), CuesAfterCall, "person", 0, "no cue fired"},
		{"resumed", func(r *rig) { person(r, 2100, 8000, 1500) }, none(), TimeToResume, "clear", 1.5, "resumed 1.5 s after the call"},
		// The call came half a second into the hold at 22.1 s, when cue 10, lit
		// at 21 s, was up until 23 s: 0.4 s more. Resumed 2.5 s after the call.
		{"nothing up after the call", func(r *rig) { person(r, 2100, 500, 2500) }, none(), TimeToResume, "clear", 2.1, "after the list had nothing up"},
		{"still up", func(r *rig) { person(r, 2100, 500, 300) }, none(), TimeToResume, "clear", 0, "resumed 0 s"},
		{"clear at the resume", func(r *rig) { person(r, 2100, 500, 400) }, none(), UnclearResumes, "", 0, "nothing was open at any resume"},
		// 0.3 s after the call at 0.5 s: held for 0.8 s of the 0.9 s that were needed.
		{"unclear at the resume", func(r *rig) { person(r, 2100, 500, 300) }, none(), UnclearResumes, "", 1, "resumed once with something open, the last time: effects still up"},
		{"not early", func(r *rig) { person(r, 2100, 8000, 0) }, none(), EarlyResumes, "clear", 0, "nothing was resumed"},
		{"early", early, none(), EarlyResumes, "clear", 1, "resumed once before the call"},
		{"early is never", early, none(), TimeToResume, "clear", Endless(), "not held when the call came"},
		{"no hold", unheard, none(), TimeToHold, "person", Endless(), "no hold answered"},
		// From 20 s to the all-clear at 30 s: cues at 21, 23, 25, 27 and 29 s.
		{"no hold, cues", unheard, none(), CuesAfterCall, "person", 5, "nothing stopped them"},
		{"hold after the all-clear", lateHold, none(), TimeToHold, "person", Endless(), "no hold answered"},
		{"hold after the all-clear is needless", lateHold, none(), NeedlessHolds, "", 1, "held once with no call"},
		{"held on another's call", twoCalls, none(), TimeToHold, "gust", 0, "held already"},
		{"the call to stay held excuses the resume", twoCalls, none(), NeedlessHolds, "", 0, "every hold had its call"},
		{"a hold that nobody asked for", func(r *rig) {
			r.start()
			r.play(10_000)
			r.hold("")
			r.resume(3000)
			r.end()
		}, none(), NeedlessHolds, "", 1, "held once"},
		{"device", device, none(), TimeToGoOnSilent, "loss", 6.25, "went on 6.25 s after"},
		{"the console's own hold", device, none(), NeedlessHolds, "", 0, "every hold had its call"},
		{"a trainer's hold is nobody's", trainerHolds, none(), NeedlessHolds, "", 0, "every hold had its call"},
		{"early after a loss", twice, none(), EarlyResumes, "ready", 0, "nothing was resumed"}, // the resume of the hold before is none
		{"no hold, no early resume", unheard, none(), EarlyResumes, "clear", Endless(), "nothing to resume"},
		{"no hold, no resume", unheard, none(), UnclearResumes, "", Endless(), "nothing was resumed"},
		{"no resume, none wanted", nudged(), none(), UnclearResumes, "", 0, "nothing to resume"},
		// Held when cutting was called for, and resumed against it at 21 s:
		// cues 10 to 28, at 21 to 57 s.
		{"resumed against a call to cut", func(r *rig) {
			r.start()
			r.play(20_000)
			r.hold("")
			r.step("gale", Radio, WantCut)
			r.resume(3000)
			r.end()
		}, none(), CuesAfterCall, "gale", 19, "nothing stopped them"},
		{"device that nobody needs", func(r *rig) {
			r.start()
			r.play(5000)
			r.step("loss", DeviceLost, WantNothing)
			r.end()
		}, none(), TimeToGoOnSilent, "loss", 0, "did not stop"},
		{"cut", cutAt(3200), none(), TimeToCut, "gale", 3.2, "cut 3.2 s after the call"},
		{"cut as asked", cutAt(3200), none(), NeedlessCuts, "", 0, "not given up"},
		{"cut where a hold was wanted", cutOnPerson, none(), TimeToHold, "person", 1.5, "cut 1.5 s after the call, which stops the show"},
		{"cut on a call to hold is not needless", cutOnPerson, none(), NeedlessCuts, "", 0, "not given up"},
		{"cut where nobody is in danger", cutOnPerson, noCut(), TimeToHold, "person", Endless(), "where the briefing wants a hold and no cut"},
		{"cut where nobody is in danger is needless", cutOnPerson, noCut(), NeedlessCuts, "", 1, "no call for it"},
		{"cut after the all-clear is needless", func(r *rig) {
			r.start()
			r.play(20_000)
			r.step("person", Radio, WantHold)
			r.hold("")
			r.step("clear", Radio, WantResume)
			r.do(show.Command{Action: show.Cut})
		}, none(), NeedlessCuts, "", 1, "no call for it"},
		{"armed on the report", readyAt(3000, 4000), ready(), EarlyArms, "ready", 0, "armed when the field"},
		{"armed too early", readyAt(4000, 3000), ready(), EarlyArms, "ready", 1, "armed once before"},
		{"armed, never reported", func(r *rig) {
			r.start()
			r.end()
		}, ready(), EarlyArms, "ready", 1, "armed once before"},
		{"armed again after the cut, never reported", func(r *rig) {
			cutAt(3200)(r)
			r.do(show.Command{Action: show.Arm})
			r.end()
		}, readyAgain(), EarlyArms, "ready", 1, "armed once before"},
		{"lines unticked", func(r *rig) {
			r.start()
			r.play(20_000)
			r.hold("")
			r.wait(9000)
			r.do(show.Command{Action: show.Resume, HeldFor: ms(9000), Open: show.Open{Unticked: 2}})
			r.end()
		}, none(), UnclearResumes, "", 1, "the last time: 2 lines unticked"},
		{"burns unknown", func(r *rig) {
			r.start()
			r.play(20_000)
			r.hold("")
			r.wait(9000)
			r.do(show.Command{Action: show.Resume, HeldFor: ms(9000), Open: show.Open{Up: 1, Unknown: 1}})
			r.end()
		}, none(), UnclearResumes, "", 1, "the last time: 1 unknown"},
		// Ticked 6 s after the call, resumed 7.5 s after it.
		{"ticked after the call", func(r *rig) {
			r.start()
			r.play(20_000)
			r.step("person", Radio, WantHold)
			r.hold("")
			r.wait(4000)
			r.step("clear", Radio, WantResume)
			r.wait(6000)
			r.say(session.KindTicked, session.Data{Count: 1})
			r.resumeAfter(10_000, 1500)
			r.end()
		}, none(), TimeToResume, "clear", 1.5, "resumed 1.5 s after the last line was ticked"},
		{"cut stops the cues", func(r *rig) {
			r.start()
			r.play(20_000)
			r.step("person", Radio, WantHold)
			r.play(21_500) // cue 10 was lit at 21 s
			r.do(show.Command{Action: show.Cut})
		}, none(), CuesAfterCall, "person", 1, "before they were stopped"},
		{"cut before the call", func(r *rig) {
			r.start()
			r.play(9000)
			r.do(show.Command{Action: show.Cut})
		}, none(), NeedlessCuts, "", 1, "no call for it"},
		{"left", func(r *rig) {
			r.start()
			r.play(9000)
			r.say(session.KindClosed, session.Data{})
		}, none(), NeedlessCuts, "", 1, "left before its end"},
		{"stood down", standDown("position", "Left"), leftDown(), TimeToStandDown, "dead", 4, "Left stood down 4 s after"},
		{"stood down by its module", standDown("module", "L"), leftDown(), TimeToStandDown, "dead", 4, "Left stood down 4 s after"},
		{"the other stood down", standDown("position", "Right"), leftDown(), TimeToStandDown, "dead", Endless(), "was not stood down"},
		{"the module is part of what was asked", standDown("module", "L"), leftDown(), WrongStandDowns, "", 0, "nobody asked for"},
		{"the other was wrong", standDown("position", "Right"), leftDown(), WrongStandDowns, "", 1, "1 group stood down that nobody asked for: Right"},
		{"all comets is too much", standDown("effect", "comet"), leftDown(), WrongStandDowns, "", 1, "comet"},
		{"right way", nudged(1, 1, 1), planted(300), WrongFirstNudge, "", 0, "went EARLIER, as wanted"},
		{"wrong way", nudged(-1, 1, 1, 1), planted(300), WrongFirstNudge, "", 1, "went LATER, and EARLIER was wanted"},
		{"wrong without a want", nudged(1), planted(0), WrongFirstNudge, "", 1, "none was wanted"},
		{"no nudge", nudged(), planted(-300), WrongFirstNudge, "", 1, "one was wanted"},
		{"no nudge after what grew", nudged(), growing, WrongFirstNudge, "", 1, "one was wanted"},
		{"no nudge and no want", nudged(), planted(49), WrongFirstNudge, "", 0, "none was wanted"},
		// 0.35 s: within a tenth at 0.3 s.
		{"presses", nudged(1, 1, 1, 1), planted(350), StepsToATenth, "", 3, "3 presses"},
		{"presses the wrong way count", nudged(-1, 1, 1, 1, 1), planted(350), StepsToATenth, "", 5, "5 presses"},
		{"two are near enough", nudged(1, 1), planted(300), StepsToATenth, "", 2, "2 presses"},
		{"never near", nudged(1), planted(350), StepsToATenth, "", Endless(), "never came within"},
		{"near from the start", nudged(), planted(100), StepsToATenth, "", 0, "never more than a tenth"},
		// Nudged at 10 s, 20 ms a second: 0.2 s are wanted, 0.1 s are within.
		{"presses after what grows", nudged(1), growing, StepsToATenth, "", 1, "1 press"},
		{"never off", nudged(), none(), StepsToATenth, "", 0, "never more"},
		{"residual", nudged(1, 1), planted(350), Residual, "", 0.15, "ended at EARLIER 0.2 s"},
		// At 60 s, 1.2 s are wanted.
		{"residual of what grows", nudged(1, 1, 1), growing, Residual, "", 0.9, "where EARLIER 1.2 s was wanted"},
		{"needless presses", nudged(1, -1), planted(0), NeedlessNudges, "", 2, "2 presses where no"},
		{"needed presses", nudged(1, -1), planted(50), NeedlessNudges, "", 0, "no nudge came where"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := newRig(t)
			tt.run(r)
			l := r.score(tt.x, Measure{Kind: tt.kind, Step: tt.step}).Lines[0]
			if l.Value != tt.want || !strings.Contains(l.Says, tt.says) || l.Grade == LeftOut {
				t.Errorf("%v, %s, %q; want %v, %q", l.Value, l.Grade, l.Says, tt.want, tt.says)
			}
		})
	}
}

// TestTrainerHolds: what the trainee would have done is not scored where a trainer held
// the show first.
func TestTrainerHolds(t *testing.T) {
	for _, kind := range []Kind{TimeToHold, CuesAfterCall} {
		r := newRig(t)
		trainerHolds(r)
		if l := r.score(none(), Measure{Kind: kind, Step: "person"}).Lines[0]; l.Grade != LeftOut || l.Says != trainerHeld {
			t.Errorf("%s: %s, %q", kind, l.Grade, l.Says)
		}
	}
}

// cutOnPerson cuts 1.5 s after a call to hold.
func cutOnPerson(r *rig) {
	r.start()
	r.play(20_000)
	r.step("person", Radio, WantHold)
	r.play(21_500)
	r.do(show.Command{Action: show.Cut})
}

// noCut is an exercise whose call to hold forbids to cut.
func noCut() *Exercise {
	steps := []Step{{Name: "person", Wants: WantHold, NoCut: true}}
	return &Exercise{Drill: &Drill{Steps: steps, Measures: []Measure{{Kind: NeedlessCuts}}}, Steps: steps}
}

// ready is an exercise in which the field reports ready.
func ready() *Exercise {
	steps := []Step{{Name: "ready", When: Trigger{After: afterOpening}, Do: Radio, Wants: WantArm}}
	return &Exercise{Drill: &Drill{Steps: steps}, Steps: steps}
}

// readyAgain has a field that reports ready once more after a cut.
func readyAgain() *Exercise {
	steps := []Step{
		{Name: "gale", When: Trigger{From: 20 * time.Second}, Do: Radio, Wants: WantCut},
		{Name: "ready", When: Trigger{After: show.Cut.String()}, Do: Radio, Wants: WantArm},
	}
	return &Exercise{Drill: &Drill{Steps: steps}, Steps: steps}
}

// readyAt has the field report ready, and the show armed, so many milliseconds after
// the opening.
func readyAt(report, arm int64) func(r *rig) {
	return func(r *rig) {
		for now := range max(report, arm) + 1 {
			switch r.wait(1); now {
			case report:
				r.step("ready", Radio, WantArm)
			case arm:
				r.start()
			}
		}
		r.end()
	}
}

// TestEarlyArmOnTheTimeline: an arming that did not wait for the field is told.
func TestEarlyArmOnTheTimeline(t *testing.T) {
	for _, tt := range []struct {
		run  func(r *rig)
		want string
	}{
		{readyAt(3000, 4000), "Left: ready said, armed, started, the show ended"},
		{readyAt(4000, 3000), "armed before the field had reported ready, started, Left: ready said, the show ended"},
	} {
		r := newRig(t)
		tt.run(r)
		var got []string
		for _, m := range r.score(ready()).Moments {
			got = append(got, m.Text)
		}
		if s := strings.Join(got, ", "); s != tt.want {
			t.Errorf("got %s\nwant %s", s, tt.want)
		}
	}
}

// early resumes three seconds into the hold, before the all-clear.
func early(r *rig) {
	r.start()
	r.play(20_000)
	r.step("person", Radio, WantHold)
	r.play(21_000)
	r.hold("")
	r.resume(3000)
	r.play(26_000)
	r.step("clear", Radio, WantResume)
	r.end()
}

// unheard is a call to hold that nothing answers.
func unheard(r *rig) {
	r.start()
	r.play(20_000)
	r.step("person", Radio, WantHold)
	r.play(30_000)
	r.step("clear", Radio, WantResume)
	r.end()
}

// lateHold holds when it is clear already.
func lateHold(r *rig) {
	r.start()
	r.play(20_000)
	r.step("person", Radio, WantHold)
	r.play(30_000)
	r.step("clear", Radio, WantResume)
	r.play(31_000)
	r.hold("")
	r.resume(5000)
	r.end()
}

// twoCalls calls to hold again while the show is held.
func twoCalls(r *rig) {
	r.start()
	r.play(20_000)
	r.step("person", Radio, WantHold)
	r.play(21_000)
	r.hold("")
	r.wait(4000)
	r.step("gust", Radio, WantHold)
	r.resumeAfter(4000, 2000) // early
	r.play(22_000)
	r.hold("") // the cause still stands
	r.wait(4000)
	r.step("clear", Radio, WantResume)
	r.resumeAfter(4000, 0)
	r.end()
}

// device loses the sound device and goes on.
func device(r *rig) {
	r.start()
	r.play(20_000)
	r.step("loss", DeviceLost, WantNothing)
	r.wait(250)
	r.lose()
	r.resume(6000)
	r.end()
}

// trainerHolds is a call to hold at 20 s, and then a trainer who holds the show at 21.5 s;
// it is resumed and goes on to its end.
func trainerHolds(r *rig) {
	r.start()
	r.play(20_000)
	r.step("person", Radio, WantHold)
	r.play(21_500)
	r.do(show.Command{Action: show.Hold, By: show.ByInstructor, Member: "Tom"})
	r.resume(3000)
	r.end()
}

// twice is a call to hold, and after it the loss of the device.
func twice(r *rig) {
	r.start()
	r.play(20_000)
	r.step("person", Radio, WantHold)
	r.hold("")
	r.wait(8000)
	r.step("clear", Radio, WantResume)
	r.resumeAfter(8000, 1000)
	r.play(30_000)
	r.step("loss", DeviceLost, WantNothing)
	r.lose()
	r.wait(9000)
	r.step("ready", Radio, WantResume)
	r.resumeAfter(9000, 1000)
	r.end()
}

// cutAt holds on a call to cut, and cuts so many milliseconds after it.
func cutAt(n int64) func(r *rig) {
	return func(r *rig) {
		r.start()
		r.play(20_000)
		r.step("gale", Radio, WantCut)
		r.wait(0)
		r.hold("")
		r.wait(n)
		r.do(show.Command{Action: show.Cut, Reason: "gale"})
	}
}

// standDown stands a group down 4 s after the call that Left is dead.
func standDown(by, name string) func(r *rig) {
	return func(r *rig) {
		r.start()
		r.play(20_000)
		r.say(session.KindDrill, session.Data{Step: "dead", Do: string(Dead), GroupBy: "position", Name: "Left", Wants: string(WantStandDown)})
		r.play(24_000)
		r.down(by, name)
		r.end()
	}
}

// leftDown is the drill of standDown.
func leftDown() *Exercise {
	return &Exercise{Drill: &Drill{Steps: []Step{{Name: "dead", Do: Dead, Wants: WantStandDown, Of: show.Group{By: "position", Name: "Left"}}}}}
}

// nudged presses at 10 s.
func nudged(tenths ...int) func(r *rig) {
	return func(r *rig) {
		r.start()
		r.play(10_000)
		r.press(tenths...)
		r.end()
	}
}
