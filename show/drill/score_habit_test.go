package drill

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/show"

	"pgregory.net/rapid"
)

// scoreOf is what a script gets in a drill.
func scoreOf(t *testing.T, d *Drill, s *show.Show, seed uint64, script []string) *Result {
	t.Helper()
	e := Example{Name: "test", Seed: seed, Script: strings.Join(script, "\n")}
	res, err := FromLog(d.Name, runExample(t, d, s, e))
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// quiet is how long, from the start, nothing has gone wrong in an exercise yet and
// nothing has been called.
func quiet(x *Exercise) time.Duration {
	until := x.Drill.Until
	if until == 0 {
		until = 130 * time.Second
	}
	for _, s := range x.Steps {
		if s.When.After == "" && (s.Do != Radio || s.Wants != WantNothing) {
			until = min(until, s.When.From)
		}
	}
	return until - time.Second
}

// without leaves out of a script a hold and all that is done by the wall clock
// after it.
func without(script []string) []string {
	i := slices.IndexFunc(script, func(line string) bool { return strings.Contains(line, " hold ") })
	if i < 0 {
		return nil
	}
	return script[:i:i]
}

// TestNeedlessHoldIsCheap: however many needless holds are put into a good run of a
// drill that comes along, they cost a tenth of the marks at most; the one hold that
// is missing always costs more.
func TestNeedlessHoldIsCheap(t *testing.T) {
	drills, demo := shipped(t)
	script, missed := map[*Drill][]string{}, map[*Drill]int{}
	for _, d := range drills {
		script[d] = strings.Split(strings.TrimSpace(d.Examples[0].Script), "\n")
		missed[d] = -1
		if less := without(script[d]); less != nil {
			if missed[d] = scoreOf(t, d, demo, d.Examples[0].Seed, less).Score; missed[d] >= 90 {
				t.Errorf("%s: a missed hold leaves %d marks", d.Name, missed[d])
			}
		}
	}
	rapid.Check(t, func(rt *rapid.T) {
		d := rapid.SampledFrom(drills).Draw(rt, "drill")
		seed := d.Examples[0].Seed
		at := rapid.SliceOfNDistinct(rapid.Int64Range(500, quiet(d.Draw(seed)).Milliseconds()), 1, 4, rapid.ID).Draw(rt, "holds at")
		with := slices.Clone(script[d])
		for _, ms := range at {
			with = append(with, fmt.Sprintf("%.3f hold not sure", float64(ms)/1000), "+25 tick all", "+1 resume")
		}
		got := scoreOf(t, d, demo, seed, byMoment(with))
		if got.Score < 90 || got.Score <= missed[d] {
			rt.Fatalf("%s: %d needless holds leave %d marks, a missed one %d: %+v", d.Name, len(at), got.Score, missed[d], got.Lines)
		}
	})
}

// byMoment puts the lines of a script in the order of their moments of music; what is
// done by the wall clock stays behind what it follows.
func byMoment(script []string) []string {
	type block struct {
		at    float64
		lines []string
	}
	var blocks []block
	for i, line := range script {
		if at := -1.0; i == 0 || !strings.HasPrefix(line, "+") {
			fmt.Sscan(line, &at)
			blocks = append(blocks, block{at: at})
		}
		last := &blocks[len(blocks)-1]
		last.lines = append(last.lines, line)
	}
	blocks[0].at = -1 // arming
	slices.SortStableFunc(blocks, func(a, b block) int { return cmp.Compare(a.at, b.at) })
	var out []string
	for _, b := range blocks {
		out = append(out, b.lines...)
	}
	return out
}

// TestCutStopsAsWell: where a good run holds on a failed start or for a person, a cut
// at that moment gets full marks, and a slower one never more.
func TestCutStopsAsWell(t *testing.T) {
	drills, demo := shipped(t)
	for _, name := range []string{"no-tone", "witness-dark", "witness", "music-only", "fallout", "still-up", "make-safe", "late-one",
		"two-faults", "busy-minute", "full-show", "wind", "wind-stays"} {
		t.Run(name, func(t *testing.T) {
			d := drills[slices.IndexFunc(drills, func(d *Drill) bool { return d.Name == name })]
			good := d.Examples[0]
			script := strings.Split(good.Script, "\n")[:2] // armed and started, and nothing else
			var seconds float64
			fmt.Sscan(firstHold(good.Script), &seconds)
			last := 100
			for _, late := range []float64{0, 1, 2, 4} {
				cut := append(slices.Clone(script), fmt.Sprintf("%.3f cut", seconds+late))
				if restarts(d.Steps) {
					cut = append(cut, "+40 arm", "+4 start")
				}
				res := scoreOf(t, d, demo, good.Seed, cut)
				if late == 0 && (res.Score != 100 || !res.Finished) {
					tell(t, res)
					t.Errorf("a cut at once gets %d", res.Score)
				}
				if res.Score > last {
					t.Errorf("a cut %v s later gets %d, which is more than %d", late, res.Score, last)
				}
				last = res.Score
			}
			if last > 90 {
				t.Errorf("a cut 4 s later gets %d", last)
			}
		})
	}
}

// firstHold is the line of a script that holds.
func firstHold(script string) string {
	for line := range strings.SplitSeq(script, "\n") {
		if strings.Contains(line, " hold ") {
			return line
		}
	}
	return ""
}

// TestNobodyWorksInAHold: what is put right in the field is put right after a cut, and
// somebody reports ready then; and a briefing that speaks of the witness says what it
// is.
func TestNobodyWorksInAHold(t *testing.T) {
	drills, _ := shipped(t)
	for _, d := range drills {
		for i, s := range d.Steps {
			if s.Do == Alive && !(follows(d.Steps, i, show.Cut.String()) && restarts(d.Steps)) {
				t.Errorf("%s: %q mends in the field with the show not made safe", d.Name, s.Name)
			}
		}
		if strings.Contains(d.Briefing, "At 5 seconds the witness") && !strings.Contains(d.Briefing, "tone") {
			t.Errorf("%s: the briefing does not say what the witness is", d.Name)
		}
	}
}

// TestBriefingsForbidTheCut: a drill that takes marks for a cut says so before.
func TestBriefingsForbidTheCut(t *testing.T) {
	drills, _ := shipped(t)
	for _, d := range drills {
		forbids := slices.ContainsFunc(d.Measures, func(m Measure) bool { return m.Kind == NeedlessCuts }) ||
			slices.ContainsFunc(d.Steps, func(s Step) bool { return s.NoCut })
		text := strings.ToLower(d.Briefing)
		says := strings.Contains(text, "nobody is in danger") && (strings.Contains(text, "not cut") || strings.Contains(text, "no cut"))
		if forbids != says {
			t.Errorf("%s: takes marks for a cut: %v, and its briefing forbids one: %v", d.Name, forbids, says)
		}
		if !slices.ContainsFunc(d.Measures, func(m Measure) bool { return m.Kind == EarlyArms }) {
			t.Errorf("%s: the field is not asked before arming", d.Name)
		}
	}
}

// TestWeights: whatever a drill's file gives its measures to weigh, all needless
// holds cost a tenth at most and less than the least late answer, and no delay costs
// what a resume with something open does.
func TestWeights(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var lines []Line
		weigh := func(k Kind) Measure {
			good := rapid.Float64Range(0, 5).Draw(t, "good")
			return Measure{Kind: k, Good: good, Pass: good + rapid.Float64Range(0.1, 5).Draw(t, "pass"), Weight: rapid.Float64Range(0.1, 20).Draw(t, string(k))}
		}
		add := func(m Measure, v Value) { lines = append(lines, Line{Measure: m, Value: v, Grade: m.grade(v)}) }
		hold, delay := weigh(TimeToHold), weigh(TimeToResume)
		open := Measure{Kind: UnclearResumes, Weight: rapid.Float64Range(0.1, 20).Draw(t, "open")}
		needless := Measure{Kind: NeedlessHolds, Weight: rapid.Float64Range(0.1, 20).Draw(t, "needless")}
		score := func(held, delayed, left, holds Value) float64 {
			lines = nil
			add(hold, held)
			add(delay, delayed)
			add(open, left)
			add(needless, holds)
			add(Measure{Kind: WrongStandDowns, Weight: 1}, 0)
			res := Result{Lines: lines}
			res.addUp()
			had := 0.0
			for _, l := range res.Lines {
				had += l.Points
			}
			return had
		}
		if cost := 100 - score(0, 0, 0, 9); cost > 10.000001 || cost <= 0 {
			t.Fatalf("nine needless holds cost %v", cost)
		}
		if late, cheap := score(Value(hold.Good)+0.01, 0, 0, 0), score(0, 0, 0, 99); late >= cheap {
			t.Fatalf("a late hold leaves %v, needless ones %v", late, cheap)
		}
		if unsafe, slow := score(0, 0, 1, 0), score(0, Endless(), 0, 0); unsafe >= slow {
			t.Fatalf("a resume with something open leaves %v, one that never came %v", unsafe, slow)
		}
	})
}
