package drift

import (
	"testing"
	"time"
)

// A beaten list has its cues on a beat: each beat has one with a chance of filled,
// and every fourth is a salvo if there are bars.
func (s simulation) beaten(beat time.Duration, beats int, filled float64, bars bool) simShow {
	var w simShow
	from := s.between(5*time.Second, 10*time.Second)
	for k := range beats {
		if s.Float64() >= filled {
			continue
		}
		at, n := from+time.Duration(k)*beat, 1
		if bars && k%4 == 0 {
			n = 2 + s.IntN(3)
		}
		lane := ""
		for _, p := range s.Perm(len(positions))[:n] {
			lane = positions[p]
			w.cue(at, lane)
		}
		if n > 1 {
			lane = ""
		}
		w.accents, w.lanes = append(w.accents, at), append(w.lanes, lane)
	}
	return w
}

// jumps reports whether a verdict sends the cues to another beat than theirs.
func jumps(v Verdict, planted, beat time.Duration) bool {
	switch v.Code {
	case Nudge, InPlace, InSpread, LaneApart:
		return (v.Nudge - planted).Abs() > beat/2
	case Ambiguous:
		return v.Nudge.Abs() > planted.Abs()+NudgeStep
	}
	return false
}

// The shift planted is less than half a beat, the taps are those of a usual shooter:
// one in five is a stray.
func TestAdviceNeverJumpsABeat(t *testing.T) {
	t.Parallel()
	runs := 600
	if testing.Short() {
		runs = 150
	}
	told := 0
	for run := range runs {
		s := simulate(uint64(run))
		beat := s.between(350*time.Millisecond, 800*time.Millisecond)
		filled := []float64{0.4, 0.7, 1}[run%3]
		w := s.beaten(beat, 80, filled, run%2 == 0)
		planted := s.between(-beat/2, beat/2).Round(NudgeStep)
		if 2*planted.Abs() >= beat {
			planted = 0
		}
		v := Analyse(late(w.cues, planted), s.taps(w, 8+s.IntN(24), simBias), Config{Bias: simBias}).Verdict
		if v.Code == Nudge || v.Code == InPlace {
			told++
		}
		if jumps(v, planted, beat) {
			t.Errorf("run %d: beat %v, %v of the beats with a cue, planted %v: %s", run, beat, filled, planted, v.Text)
		}
	}
	if told < runs/2 {
		t.Errorf("told in %d of %d runs only", told, runs)
	}
}

func TestRepeats(t *testing.T) {
	t.Parallel()
	var cues []Effect
	for k := range 20 {
		if k%4 != 3 {
			cues = append(cues, Effect{At: time.Duration(k) * 500 * time.Millisecond})
		}
	}
	for _, c := range []struct {
		by   float64 // seconds
		want bool
	}{{2, true}, {-2, true}, {0.5, true}, {0.25, false}, {1.97, true}, {1.9, false}, {8, false}} {
		if got := repeats(accents(cues), c.by); got != c.want {
			t.Errorf("moved by %v s: %v", c.by, got)
		}
	}
}
