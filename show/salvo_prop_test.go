package show

import (
	"testing"
	"time"

	"drylane/show/timebase"

	"pgregory.net/rapid"
)

// drawDense is a plan whose cues lie near each other and often on one frame.
func drawDense(t *rapid.T) *Plan {
	n := rapid.IntRange(1, 60).Draw(t, "cues")
	every := rapid.SampledFrom([]int{1, 10, 40, 100, 500}).Draw(t, "grid")
	cues := make([]Cue, n)
	for i := range cues {
		cues[i] = Cue{
			EffectAt: ms(3000 + every*rapid.IntRange(0, 8000/every).Draw(t, "ignite")),
			Prefire:  ms(100 * rapid.IntRange(0, 3).Draw(t, "prefire")),
			Position: rapid.SampledFrom([]string{"A", "B", "C"}).Draw(t, "position"),
		}
	}
	console := testConsole
	console.Together = rapid.IntRange(0, 12).Draw(t, "together")
	return NewPlan(cues, console, testRate, frame(25_000))
}

// TestNoSalvo: whatever the nudges, holds, resumes and stand-downs, no frame carries
// cues that the list does not put on one frame, none comes before its time in the list
// less the nudge, none nearer to the one before than the list has it, or 0.05 s; and
// no salvo is let go unasked. checkRun says that none is lost or doubled, or out of
// order.
func TestNoSalvo(t *testing.T) {
	checkMany(t, 10000, func(t *rapid.T) {
		p := drawDense(t)
		commands := drawCommands(t, p)
		r := play(p, commands, inOneStep)
		checkRun(t, p, r)
		asked, committed := time.Duration(0), map[int]timebase.Frame{}
		last, back := -1, false
		for _, e := range r.ev {
			if back = e.Kind == EventBroughtBack || back && e.Kind == EventCommitted; back {
				continue // committed while it was stood down, by another nudge
			}
			switch e.Kind {
			case EventNudged:
				asked = e.Nudge
			case EventCommitted:
				committed[e.Cue] = p.Cues[e.Cue].Ignite - timebase.FrameAt(asked, p.Rate)
			case EventFired:
				if at, ok := committed[e.Cue]; ok && e.At < at {
					t.Fatalf("cue %d fired at %d, its time less the nudge is %d: %s", e.Cue, e.At, at, describe(r.ev))
				}
			}
			if e.Kind != EventFired && e.Kind != EventSkipped {
				continue
			}
			if last >= 0 {
				listed := p.Cues[e.Cue].Ignite - p.Cues[last].Ignite
				if d := e.At - r.t.FiresAt(last); d < min(listed, frame(50)) || listed == 0 && d != 0 {
					t.Fatalf("cue %d came %d frames after cue %d, listed %d: %s", e.Cue, d, last, listed, describe(r.ev))
				}
			}
			last = e.Cue
		}
	})
}

// TestSalvosAreCounted: a command is refused for the number of cues that it makes due
// at once, counted one by one, and for nothing else.
func TestSalvosAreCounted(t *testing.T) {
	checkMany(t, 5000, func(t *rapid.T) {
		p := drawDense(t)
		r := started(p)
		for _, tc := range drawCommands(t, p) {
			r.advance(tc.at)
			before := *r.t
			err := r.do(tc.c, tc.at)
			if before.refuses(tc.c) != "" || tc.c.Action != Nudge && tc.c.Action != Resume {
				continue
			}
			n, listed := countDue(&before, tc.c)
			earlier := tc.c.Action == Resume || before.State() == Running && tc.c.Step > 0 && before.Asked() < p.NudgeLimit
			want := earlier && !tc.c.Anyway && n-listed > p.Together
			if (err != nil) != want {
				t.Fatalf("%v of %v at %d: %d cues due, %d of them listed together, %d may: error %v", tc.c.Action, tc.c.Step, before.Heard(), n, listed, p.Together, err)
			}
		}
	})
}

// countDue counts the cues that c makes due at once and the most of them that the list
// has on one frame, by looking at every cue of the list.
func countDue(t *Transport, c Command) (n, listed int) {
	p := t.Plan()
	nudge, from := t.Asked(), t.Heard()
	if c.Action == Nudge {
		nudge = max(-p.NudgeLimit, min(p.NudgeLimit, nudge+c.Step))
		if t.State() == Running {
			from += p.Guard
		}
	}
	on := map[timebase.Frame]int{}
	for i := t.Committed(); i < len(p.Cues); i++ {
		if p.Cues[i].Ignite-timebase.FrameAt(nudge, p.Rate) < from && !t.Down(i) {
			n++
			on[p.Cues[i].Ignite]++
			listed = max(listed, on[p.Cues[i].Ignite])
		}
	}
	return n, listed
}

// TestNudgesTakeEffect: a cue that has room to is fired at its time less the nudge,
// however many were spread before it.
func TestNudgesTakeEffect(t *testing.T) {
	checkMany(t, 2000, func(t *rapid.T) {
		every := rapid.IntRange(5, 1000).Draw(t, "every")
		cues := make([]Cue, 200)
		for i := range cues {
			cues[i] = cueAt(1000+every*i, 0, "A")
		}
		cues = append(cues, cueAt(1000+every*200+40_000, 0, "A"))
		p := NewPlan(cues, testConsole, testRate, frame(300_000))
		r := started(p)
		step := time.Duration(rapid.IntRange(1, 100).Draw(t, "tenths")) * 100 * time.Millisecond
		at := timebase.Frame(rapid.IntRange(0, int(frame(5000))).Draw(t, "at"))
		if err := r.do(Command{Action: Nudge, Step: step, Anyway: true}, at); err != nil {
			t.Fatal(err)
		}
		r.advance(frame(400_000))
		if want := p.Cues[200].Ignite - timebase.FrameAt(step, p.Rate); r.t.FiresAt(200) != want {
			t.Fatalf("nudged by %v, a row of cues %d ms apart: the cue 40 s behind fired at %d, want %d", step, every, r.t.FiresAt(200), want)
		}
	})
}
