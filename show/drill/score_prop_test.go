package drill

import (
	"bytes"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/session"

	"pgregory.net/rapid"
)

// someMeasures draws what a drill with the steps is scored by: each measure
// that starts from a step from one that asks for it.
func someMeasures(steps []Step) *rapid.Generator[[]Measure] {
	var may []Measure
	for _, k := range kinds {
		answers, needs := answersOf[k]
		if !needs {
			may = append(may, Measure{Kind: k})
			continue
		}
		for _, s := range steps {
			if answers(s) {
				may = append(may, Measure{Kind: k, Step: s.Name})
			}
		}
	}
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Measure {
		m := rapid.SampledFrom(may).Draw(t, "measure")
		m.Good = rapid.Float64Range(0, 5).Draw(t, "good")
		m.Pass = m.Good + rapid.Float64Range(0, 5).Draw(t, "more")
		m.Weight = rapid.Float64Range(0.1, 5).Draw(t, "weight")
		return m
	}), 0, 6)
}

// TestScoreIsInBounds: whatever is done in whatever order, the score is from 0
// to 100, and what the lines lost is what it lacks of 100.
func TestScoreIsInBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := newRig(t)
		r.start()
		for range rapid.IntRange(0, 25).Draw(t, "steps") {
			r.play(int64(r.tr.Heard().At(rate)/time.Millisecond) + rapid.Int64Range(0, 4000).Draw(t, "ms"))
			r.wait(rapid.Int64Range(0, 4000).Draw(t, "wall"))
			c := show.Command{Action: rapid.SampledFrom([]show.Action{show.Arm, show.Start, show.Hold, show.Resume, show.Nudge,
				show.StandDown, show.BringBack, show.Cut, show.Reset}).Draw(t, "action"), HeldFor: ms(rapid.Int64Range(0, 5000).Draw(t, "held"))}
			c.Group = show.Group{By: "position", Name: rapid.SampledFrom([]string{"Left", "Right"}).Draw(t, "position")}
			c.Step = ms(100 * rapid.Int64Range(-5, 5).Draw(t, "tenths"))
			if ev, err := r.tr.Do(c, r.tr.Heard(), nil); err == nil {
				r.events(ev)
			}
			if rapid.Bool().Draw(t, "call") {
				r.say(session.KindDrill, session.Data{Step: rapid.SampledFrom([]string{"a", "b", "c", "d", "e"}).Draw(t, "step"),
					Do:      string(rapid.SampledFrom([]Deed{Radio, MusicOff, Dead, DeviceLost, DeviceBack, Over}).Draw(t, "do")),
					Wants:   string(rapid.SampledFrom([]Want{WantNothing, WantHold, WantResume, WantCut, WantStandDown}).Draw(t, "wants")),
					GroupBy: "position", Name: "Left"})
			}
		}
		x := planted(rapid.Int64Range(-500, 500).Draw(t, "late"))
		left := show.Group{By: "position", Name: "Left"}
		x.Steps = []Step{{Name: "a", Wants: WantHold}, {Name: "b", When: Trigger{After: "hold"}, Wants: WantResume}, {Name: "c", Wants: WantCut},
			{Name: "d", When: Trigger{After: "b"}, Wants: WantStandDown, Of: left}, {Name: "e", Do: DeviceLost}}
		x.Drill.Steps = x.Steps
		x.Plants[0].Grow = []time.Duration{ms(rapid.Int64Range(-2000, 2000).Draw(t, "grow"))}
		res := r.score(x, someMeasures(x.Steps).Draw(t, "measures")...)
		var lost float64
		for _, l := range res.Lines {
			lost += l.Of - l.Points
			if l.Points > l.Of || l.Value < 0 || math.IsNaN(float64(l.Value)) || l.Says == "" {
				t.Fatalf("%+v", l)
			}
		}
		if res.Score < 0 || res.Score > 100 || res.Scored && math.Abs(100-lost-float64(res.Score)) > 0.51 {
			t.Fatalf("score %d, lost %v", res.Score, lost)
		}
	})
}

// reaction is how long somebody takes to hold, to resume and to stand a
// position down; 0 stands for never.
type reaction struct{ hold, resume, down int64 }

// react is a call to hold, the all-clear that waits for the hold, and a
// position that has to be stood down.
func react(t *rapid.T, a reaction) (*rig, *Exercise) {
	x := &Exercise{Drill: &Drill{Steps: []Step{
		{Name: "person", When: Trigger{From: 20 * time.Second}, Wants: WantHold},
		{Name: "clear", When: Trigger{After: "hold", From: 5 * time.Second}, Wants: WantResume},
		{Name: "dead", When: Trigger{From: 10 * time.Second}, Wants: WantStandDown, Of: show.Group{By: "position", Name: "Left"}},
	}}}
	r := newRig(t)
	r.start()
	r.play(10_000)
	r.step("dead", Dead, WantStandDown)
	if a.down > 0 {
		r.play(10_000 + a.down)
		r.down("position", "Left")
	}
	r.play(20_000)
	r.step("person", Radio, WantHold)
	if a.hold > 0 {
		r.play(20_000 + a.hold)
		r.hold("")
		r.wait(5000) // nothing is up by then
		r.step("clear", Radio, WantResume)
		if a.resume > 0 {
			r.resumeAfter(5000, a.resume)
		}
	}
	r.end()
	x.Steps = x.Drill.Steps
	return r, x
}

// TestSlowerIsNeverBetter: more reaction time, up to no reaction at all, never
// raises the score, whatever it is scored by.
func TestSlowerIsNeverBetter(t *testing.T) {
	within := rapid.Int64Range(1, 9000)
	slower := func(t *rapid.T, n int64, what string) int64 {
		if rapid.Bool().Draw(t, what+" never") {
			return 0
		}
		return n + rapid.Int64Range(0, 9999-n).Draw(t, what+" more")
	}
	rapid.Check(t, func(t *rapid.T) {
		quick := reaction{within.Draw(t, "hold"), within.Draw(t, "resume"), within.Draw(t, "down")}
		slow := quick
		switch rapid.IntRange(0, 2).Draw(t, "which") {
		case 0:
			slow.hold = slower(t, quick.hold, "hold")
		case 1:
			slow.resume = slower(t, quick.resume, "resume")
		case 2:
			slow.down = slower(t, quick.down, "down")
		}
		a, x := react(t, quick)
		m := someMeasures(x.Steps).Draw(t, "measures")
		b, _ := react(t, slow)
		if quick, slow := a.score(x, m...), b.score(x, m...); slow.Score > quick.Score {
			t.Fatalf("the slow one has %d, the quick one %d:\n%+v\n%+v", slow.Score, quick.Score, slow.Lines, quick.Lines)
		}
	})
}

// FuzzScore: no log makes scoring panic, and the score is a score.
func FuzzScore(f *testing.F) {
	for _, run := range []func(*rig){early, twoCalls, device, cutAt(1000), standDown("module", "L"), nudged(1, -2, 3)} {
		r := newRig(f)
		run(r)
		f.Add(r.buf.Bytes(), int64(300))
	}
	f.Fuzz(func(t *testing.T, data []byte, late int64) {
		log, err := session.Read(bytes.NewReader(data))
		if err != nil || len(log.Header.Cues) > 200 || len(log.Entries) > 300 {
			return
		}
		x := planted(0)
		x.Plants[0].Late[0] = time.Duration(late)
		x.Drill = leftDown().Drill
		for _, k := range kinds {
			for _, step := range []string{"person", "clear", "dead", ""} {
				x.Drill.Measures = append(x.Drill.Measures, Measure{Kind: k, Step: step, Good: 1, Pass: 2, Weight: 1})
			}
		}
		res, err := Score(log, x)
		if err != nil {
			return
		}
		if res.Score < 0 || res.Score > 100 {
			t.Fatal(res.Score)
		}
		text := pageOf(t, res)
		if strings.Contains(text, "NaN") || strings.Contains(text, "ZgotmplZ") {
			t.Fatal("a value could not be written")
		}
		if err := res.WriteText(io.Discard, 80); err != nil {
			t.Fatal(err)
		}
		if err := NewProgress([]*Result{res, res}).WriteHTML(io.Discard, time.Time{}); err != nil {
			t.Fatal(err)
		}
	})
}
