package drift

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"
)

const simRuns = 1000

// simBias is how early the simulated shooters tap.
const simBias = -40 * time.Millisecond

// skipTrials leaves hundreds of simulated rehearsals out of short runs.
func skipTrials(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("simulates hundreds of rehearsals, one after the other")
	}
}

// The planted shift is the truth that the suggestion is held against.
func TestSuggestedNudgeIsThePlantedOne(t *testing.T) {
	skipTrials(t)
	for _, list := range []string{"sparse", "dense"} {
		t.Run(list, func(t *testing.T) {
			t.Parallel()
			right, covered := 0, 0
			for run := range simRuns {
				s := simulate(uint64(run))
				w := s.show(list, 16)
				planted := time.Duration(run%41-20) * NudgeStep
				rep := Analyse(late(w.cues, planted), s.taps(w, 12, simBias), Config{Bias: simBias})
				if rep.Verdict.Nudge == planted {
					right++
				}
				if rep.Show.Low <= planted && planted <= rep.Show.High {
					covered++
				}
			}
			t.Logf("right in %d of %d, covered in %d", right, simRuns, covered)
			if right < simRuns*95/100 {
				t.Errorf("right in %d of %d runs, want 95 %%", right, simRuns)
			}
			// Three standard deviations of a binomial count either side of 95 %.
			if covered < 929 || covered > 971 {
				t.Errorf("interval covers the shift in %d of %d runs, want 929 to 971", covered, simRuns)
			}
		})
	}
}

func TestBetweenTenths(t *testing.T) {
	skipTrials(t)
	for _, list := range []string{"sparse", "dense"} {
		t.Run(list, func(t *testing.T) {
			t.Parallel()
			const runs = 400
			right, told := 0, 0
			for run := range runs {
				s := simulate(uint64(run))
				w := s.show(list, 16)
				below := time.Duration(run%40-20) * NudgeStep
				above := below + NudgeStep
				rep := Analyse(late(w.cues, below+NudgeStep/2), s.taps(w, 12, 0), Config{})
				v := rep.Verdict
				if v.Nudge != below && v.Nudge != above {
					continue
				}
				right++
				other := below + above - v.Nudge
				if slices.Contains(v.Others, other) && strings.Contains(v.Text, choice(other)) {
					told++
				}
			}
			t.Logf("a neighbour in %d of %d, both told in %d", right, runs, told)
			if right < runs*95/100 {
				t.Errorf("one of the neighbours in %d of %d runs, want 95 %%", right, runs)
			}
			if told < right*90/100 {
				t.Errorf("the other neighbour told in %d of %d runs, want 90 %%", told, right)
			}
		})
	}
}

// On a dense list of cues all alike a dozen taps do not tell shifts apart. What
// counts is that the report says so rather than suggest something wrong.
func TestUnmarkedDenseListIsCalledAmbiguous(t *testing.T) {
	skipTrials(t)
	t.Parallel()
	const runs = 300
	wrong, ambiguous := 0, 0
	for run := range runs {
		s := simulate(uint64(run))
		w := s.unmarked(16)
		planted := time.Duration(run%41-20) * NudgeStep
		v := Analyse(late(w.cues, planted), s.taps(w, 12, 0), Config{}).Verdict
		switch off := (v.Nudge - planted).Abs(); {
		case v.Code == Ambiguous:
			ambiguous++
		case v.Code != TooFew && v.Code != TooWide && v.Code != NoFit && off > NudgeStep:
			wrong++
		}
	}
	t.Logf("ambiguous in %d, wrong in %d of %d", ambiguous, wrong, runs)
	if wrong > runs*5/100 {
		t.Errorf("wrong without saying ambiguous in %d of %d runs", wrong, runs)
	}
}

// The interval holds for people who scatter less than is usual. For those who
// scatter much more it comes out a little short: some of their taps pass for
// strays.
func TestIntervalCoversForOtherScatters(t *testing.T) {
	skipTrials(t)
	for _, c := range []struct {
		scatter time.Duration
		least   int // three standard deviations below 95 % and 92 % of 400
	}{{30 * time.Millisecond, 367}, {100 * time.Millisecond, 352}} {
		t.Run(c.scatter.String(), func(t *testing.T) {
			t.Parallel()
			const runs = 400
			covered := 0
			for run := range runs {
				s := simulate(uint64(run))
				w := s.sparse(20)
				var taps []Tap
				for _, at := range w.accents {
					taps = append(taps, Tap{Heard: at + time.Duration(float64(c.scatter)*s.NormFloat64())})
				}
				planted := s.between(-time.Second, time.Second)
				e := Analyse(late(w.cues, planted), taps, Config{}).Show
				if e.Low <= planted && planted <= e.High {
					covered++
				}
			}
			t.Logf("covered in %d of %d", covered, runs)
			if covered < c.least {
				t.Errorf("interval covers the shift in %d of %d runs, want %d", covered, runs, c.least)
			}
		})
	}
}

// The intervals of lanes, of sections and of the rate cover the truth as stated:
// nothing is shifted and nothing grows.
func TestGroupIntervalsCover(t *testing.T) {
	skipTrials(t)
	t.Parallel()
	covered, all := map[string]int{}, map[string]int{}
	count := func(what string, ok bool) {
		all[what]++
		if ok {
			covered[what]++
		}
	}
	for run := range 300 {
		s := simulate(uint64(run))
		w := s.sparse(40)
		rep := Analyse(w.cues, s.taps(w, 30, 0), Config{})
		for _, g := range rep.Lanes {
			if g.Estimate.N >= MinTaps {
				count("lanes", g.Estimate.Low <= 0 && 0 <= g.Estimate.High)
			}
		}
		for _, g := range rep.Sections {
			count("sections", g.Estimate.Low <= 0 && 0 <= g.Estimate.High)
		}
		count("rate", rep.Rate.Low <= 0 && 0 <= rep.Rate.High)
	}
	for what, n := range all {
		least := 0.95*float64(n) - 3*math.Sqrt(float64(n)*0.95*0.05)
		t.Logf("%s: covered in %d of %d", what, covered[what], n)
		if float64(covered[what]) < least {
			t.Errorf("%s: interval covers the truth in %d of %d, want %.0f", what, covered[what], n, least)
		}
	}
}
