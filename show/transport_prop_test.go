package show

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"drylane/show/timebase"

	"pgregory.net/rapid"
)

// checkMany runs a property n times, with -short a fifth of that, as rapid does.
// rapid's own count is one flag for the whole package, shared with the tests that
// run beside this one; so its rounds are repeated, each from a seed of its own.
func checkMany(t *testing.T, n int, prop func(*rapid.T)) {
	t.Helper()
	if testing.Short() {
		n /= 5
	}
	for ran := 0; ran < n; {
		rapid.Check(t, func(t *rapid.T) {
			ran++
			prop(t)
		})
	}
}

func drawPlan(t *rapid.T) *Plan {
	n := rapid.IntRange(1, 30).Draw(t, "cues")
	cues := make([]Cue, n)
	for i := range cues {
		prefire := rapid.IntRange(0, 3000).Draw(t, "prefire")
		cues[i] = Cue{
			EffectAt: ms(prefire + rapid.IntRange(0, 20000).Draw(t, "ignite")),
			Prefire:  ms(prefire),
			Burn:     ms(rapid.IntRange(0, 3000).Draw(t, "burn")),
			Position: rapid.SampledFrom([]string{"A", "B", "C"}).Draw(t, "position"),
			Module:   rapid.SampledFrom([]string{"", "1", "2"}).Draw(t, "module"),
		}
	}
	rate := rapid.SampledFrom([]int{22050, 44100, 48000, 96000}).Draw(t, "rate")
	return NewPlan(cues, testConsole, rate, timebase.FrameAt(25*time.Second, rate))
}

// A timedCommand is given when that much has been heard.
type timedCommand struct {
	at timebase.Frame
	c  Command
}

func drawCommands(t *rapid.T, p *Plan) []timedCommand {
	var out []timedCommand
	at := timebase.Frame(0)
	for range rapid.IntRange(0, 25).Draw(t, "commands") {
		at += timebase.Frame(rapid.IntRange(0, p.Rate*2).Draw(t, "wait"))
		c := Command{Action: rapid.SampledFrom([]Action{Hold, Hold, Resume, Resume, Nudge, Nudge, Nudge, StandDown, BringBack}).Draw(t, "action")}
		c.Step = time.Duration(rapid.IntRange(-40, 40).Draw(t, "tenths")) * 100 * time.Millisecond
		c.HeldFor = ms(rapid.IntRange(0, 10000).Draw(t, "held"))
		c.Anyway = rapid.Bool().Draw(t, "anyway")
		c.Group = rapid.SampledFrom(p.Groups).Draw(t, "group")
		out = append(out, timedCommand{at, c})
	}
	if rapid.IntRange(0, 9).Draw(t, "cut?") == 0 {
		out = append(out, timedCommand{at, Command{Action: Cut}})
	}
	return out
}

// play runs the commands and, between them, advances as step says; then it
// resumes if need be and plays out. Music stands still while held, so the
// commands given in a hold take effect on the held frame.
func play(p *Plan, commands []timedCommand, step func(from, to timebase.Frame) []timebase.Frame) *run {
	r := started(p)
	for _, tc := range commands {
		if r.t.State() == Running {
			for _, f := range step(r.t.Heard(), tc.at) {
				r.advance(f)
			}
		}
		r.do(tc.c, tc.at)
	}
	r.do(Command{Action: Resume, HeldFor: time.Second, Anyway: true}, r.t.Heard())
	end := r.t.Heard() + timebase.FrameAt(2*time.Minute, p.Rate)
	for _, f := range step(r.t.Heard(), end) {
		r.advance(f)
	}
	r.advance(end)
	return r
}

func inOneStep(_, to timebase.Frame) []timebase.Frame { return []timebase.Frame{to} }

// TestEveryCueOnce holds the promise of the transport: whatever the nudges,
// holds, resumes and stand-downs, each cue fires or passes exactly once, in
// list order, never in the past, never while held, and no committed cue moves.
func TestEveryCueOnce(t *testing.T) {
	checkMany(t, 10000, func(t *rapid.T) {
		p := drawPlan(t)
		commands := drawCommands(t, p)
		steps := rapid.Custom(func(t *rapid.T) timebase.Frame { return timebase.Frame(rapid.IntRange(1, p.Rate).Draw(t, "step")) })
		// Enough steps of up to a second; play finishes with one long one.
		draws := rapid.SliceOfN(steps, 20, 20).Draw(t, "steps")
		k := 0
		r := play(p, commands, func(from, to timebase.Frame) []timebase.Frame {
			var out []timebase.Frame
			for f := from; f < to && k < len(draws); k++ {
				f = min(to, f+draws[k])
				out = append(out, f)
			}
			return out
		})
		checkRun(t, p, r)
	})
}

func checkRun(t *rapid.T, p *Plan, r *run) {
	var (
		next      = 0
		last      = timebase.Frame(0)
		now       = timebase.Frame(0) // as far as events tell
		held, cut bool
		committed = map[int]timebase.Frame{}
		asked     time.Duration
	)
	for _, e := range r.ev {
		switch e.Kind {
		case EventFired, EventSkipped:
			if e.Cue != next {
				t.Fatalf("cue %d came when %d was next: %s", e.Cue, next, describe(r.ev))
			}
			next++
			if e.At < last || e.At < now {
				t.Fatalf("cue %d at %d, in the past (last cue %d, now %d): %s", e.Cue, e.At, last, now, describe(r.ev))
			}
			if held || cut {
				t.Fatalf("cue %d came while held or after a cut: %s", e.Cue, describe(r.ev))
			}
			if at, ok := committed[e.Cue]; e.Kind == EventFired && (!ok || at != e.At) {
				t.Fatalf("cue %d fired at %d, committed for %d (%v): %s", e.Cue, e.At, at, ok, describe(r.ev))
			}
			if e.At != r.t.FiresAt(e.Cue) {
				t.Fatalf("cue %d fired at %d, the read-out says %d", e.Cue, e.At, r.t.FiresAt(e.Cue))
			}
			if (e.Kind == EventSkipped) != r.t.Down(e.Cue) {
				t.Fatalf("cue %d: %v, the read-out says stood down is %v", e.Cue, e.Kind, r.t.Down(e.Cue))
			}
			last = e.At
		case EventCommitted:
			if at, ok := committed[e.Cue]; ok {
				t.Fatalf("cue %d committed twice, for %d and %d: %s", e.Cue, at, e.At, describe(r.ev))
			}
			committed[e.Cue] = e.At
		case EventWithdrawn:
			delete(committed, e.Cue)
		case EventHeld:
			held, now = true, e.At
		case EventResumed:
			held, now = false, e.At
		case EventCut:
			cut, now = true, e.At
		case EventNudged:
			if d := e.Nudge - asked; e.Nudge > p.NudgeLimit || e.Nudge < -p.NudgeLimit || d%(100*time.Millisecond) != 0 {
				t.Fatalf("nudge %v after %v", e.Nudge, asked)
			}
			asked, now = e.Nudge, e.At
		default:
			now = e.At
		}
	}
	if !cut && (next != len(p.Cues) || r.t.State() != Ended) {
		t.Fatalf("%d of %d cues came, state %v: %s", next, len(p.Cues), r.t.State(), describe(r.ev))
	}
}

// TestStepsDoNotMatter holds that the result depends on the commands alone: a
// thousand steps or one give the same firings at the same frames.
func TestStepsDoNotMatter(t *testing.T) {
	checkMany(t, 10000, func(t *rapid.T) {
		p := drawPlan(t)
		commands := drawCommands(t, p)
		coarse := play(p, commands, inOneStep)
		fine := play(p, commands, func(from, to timebase.Frame) []timebase.Frame {
			var out []timebase.Frame
			for f := from; f < to; f += timebase.Frame(p.Rate / 37) {
				out = append(out, f)
			}
			return append(out, to)
		})
		a, b := firings(coarse.ev), firings(fine.ev)
		if !slices.Equal(a, b) {
			t.Fatalf("one step:   %v\nmany steps: %v", a, b)
		}
	})
}

// TestHoldWithoutANudgeMovesNothing: holds alone leave every cue where the
// list puts it against the music.
func TestHoldWithoutANudgeMovesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPlan(t)
		var commands []timedCommand
		at := timebase.Frame(0)
		for range rapid.IntRange(0, 20).Draw(t, "holds") {
			at += timebase.Frame(rapid.IntRange(1, p.Rate*2).Draw(t, "wait"))
			commands = append(commands, timedCommand{at, Command{Action: Hold}}, timedCommand{at, Command{Action: Resume, HeldFor: time.Second}})
		}
		for _, e := range play(p, commands, inOneStep).ev {
			if e.Kind == EventFired && e.At != p.Cues[e.Cue].Ignite {
				t.Fatalf("cue %d fired at %d, listed for %d", e.Cue, e.At, p.Cues[e.Cue].Ignite)
			}
		}
	})
}

func firings(ev []Event) []string {
	var out []string
	for _, e := range ev {
		if e.Kind == EventFired || e.Kind == EventSkipped {
			out = append(out, fmt.Sprint(e.Kind, e.Cue, "@", e.At))
		}
	}
	return out
}

func describe(ev []Event) string {
	s := ""
	for _, e := range ev {
		s += fmt.Sprintf("\n%v cue %d at %d nudge %v %v", e.Kind, e.Cue, e.At, e.Nudge, e.Group.Name)
	}
	return s
}

// BenchmarkAdvance is one step of 10 ms with 10,000 cues; it must not
// allocate, and cost the same for 100.
func BenchmarkAdvance(b *testing.B) {
	for _, n := range []int{100, 10_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			cues := make([]Cue, n)
			for i := range cues {
				cues[i] = Cue{EffectAt: time.Duration(i) * 180 * time.Millisecond, Position: "A", Module: "1"}
			}
			p := NewPlan(cues, testConsole, testRate, timebase.FrameAt(time.Hour, testRate))
			t := started(p).t
			ev := make([]Event, 0, 64)
			heard := timebase.Frame(0)
			b.ReportAllocs()
			for b.Loop() {
				heard += testRate / 100
				if ev = t.Advance(heard, ev[:0]); t.Next() == n {
					b.StopTimer()
					*t, heard = *started(p).t, 0
					b.StartTimer()
				}
			}
		})
	}
}
