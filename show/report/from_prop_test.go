package report

import (
	"testing"

	"drylane/show"

	"pgregory.net/rapid"
)

// anyCommand is what a shooter can do, drawn at random.
func anyCommand(t *rapid.T) show.Command {
	return show.Command{
		Action:  show.Action(rapid.IntRange(0, int(show.Reset)).Draw(t, "action")),
		Step:    ms(100 * rapid.Int64Range(-40, 40).Draw(t, "step")),
		Group:   show.Group{By: "position", Name: rapid.SampledFrom([]string{"Left", "Right"}).Draw(t, "group")},
		HeldFor: ms(rapid.Int64Range(0, 5000).Draw(t, "held")),
	}
}

// TestFromAgreesWithTheLog runs anything a shooter can do and holds the run
// against what the log says by itself.
func TestFromAgreesWithTheLog(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := newRig(t, every(rapid.IntRange(1, 20).Draw(rt, "cues"), 2000, rapid.Int64Range(0, 1500).Draw(rt, "step"), rapid.Int64Range(0, 2000).Draw(rt, "prefire")))
		r.must(show.Arm, 0)
		r.must(show.Start, 0)
		for range rapid.IntRange(0, 25).Draw(rt, "steps") {
			f := r.tr.Heard() + at(rapid.Int64Range(0, 4000).Draw(rt, "frames"))
			if rapid.IntRange(0, 3).Draw(rt, "kind") > 0 {
				r.do(anyCommand(rt), f)
			} else if r.play(f); r.tr.State() == show.Running {
				r.tap(f)
			}
		}
		log := r.read()
		runs, err := All(log)
		if err != nil {
			rt.Fatal(err)
		}
		// What the log says, run by run: an armed show is a new one.
		n, endings, taps, nudges, holds := -1, map[int]Ending{}, 0, 0, 0
		compare := func() {
			if n < 0 {
				return
			}
			run := runs[n]
			for i, c := range run.Cues {
				if c.Ending != endings[i] {
					rt.Fatalf("run %d: cue %s is %s, logged as %s", n, c.ID, c.Ending, endings[i])
				}
			}
			if len(run.Taps) != taps || len(run.Holds) != holds || len(run.Nudges) > nudges {
				rt.Fatalf("run %d: %d taps, %d holds, %d nudges; logged %d, %d, %d", n, len(run.Taps), len(run.Holds), len(run.Nudges), taps, holds, nudges)
			}
		}
		pending := 0 // nudges of a run that is armed and not started
		for _, e := range log.Entries {
			switch e.Kind {
			case "armed":
				pending = 0
			case "started":
				compare()
				n, endings, taps, holds, nudges = n+1, map[int]Ending{}, 0, 0, pending
			case "fired":
				endings[*e.Data.Index] = Fired
				c := runs[n].Cues[*e.Data.Index]
				if effect := c.InForce(rate) + c.Late; int64(effect) != *e.Data.Effect || c.Late < 0 {
					rt.Fatalf("cue %s: effect %d with nudge %s, %d late; logged %d", c.ID, effect, c.Nudge, c.Late, *e.Data.Effect)
				}
			case "skipped":
				endings[*e.Data.Index] = Skipped
			case "tap":
				taps++
			case "nudged":
				pending++
				nudges++
			case "held":
				holds++
			}
		}
		compare()
		if n >= 0 && n+1 != len(runs) {
			rt.Fatalf("%d runs, logged %d", len(runs), n+1)
		}
	})
}
