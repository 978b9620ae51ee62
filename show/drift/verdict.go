package drift

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// NudgeStep is the step that a nudge goes in.
const NudgeStep = 100 * time.Millisecond

// A Code says what a verdict is about, for programs.
type Code string

// The codes of a verdict, in the order they are asked for: the first that
// applies is given.
const (
	TooFew    Code = "too-few"    // more taps are needed before anything can be said
	NoFit     Code = "no-fit"     // most taps meet no cue
	RateWrong Code = "rate-wrong" // the error grows: no one nudge is right for it
	LaneApart Code = "lane-apart" // one lane stands apart; Nudge is for the others
	Ambiguous Code = "ambiguous"  // shifts far apart fit alike; Nudge is the smallest
	TooWide   Code = "too-wide"   // the interval spans several nudges
	InPlace   Code = "in-place"   // no nudge: the cues are on the music
	InSpread  Code = "in-spread"  // no nudge: the spread is larger than the shift
	Nudge     Code = "nudge"
)

// A Verdict is what to do.
type Verdict struct {
	Code Code
	Text string // one line for the shooter

	// Nudge is the change to make to the nudge in force, in steps of NudgeStep:
	// positive makes the cues EARLIER. 0: leave it.
	Nudge time.Duration
	// Others are the nudges that the taps allow as well: the next step up or
	// down where the interval reaches it, or far ones where the cue list is
	// ambiguous. Smallest first.
	Others []time.Duration
	Lane   string // the lane that stands apart
	More   int    // further taps needed
}

// toStep rounds to the nearest nudge; halfway goes to the smaller.
func toStep(d time.Duration) time.Duration {
	neg := d < 0
	if neg {
		d = -d
	}
	n := (d + NudgeStep/2 - 1) / NudgeStep * NudgeStep
	if neg {
		return -n
	}
	return n
}

// widest is the longest interval that a nudge is picked from: it leaves no
// more than a step to each side in doubt.
const widest = 5 * NudgeStep / 2

// judge finds the verdict.
func judge(rep Report, as []accent, peaks []peak, apart *apartLane, taps int) Verdict {
	e := rep.Show
	v := Verdict{Nudge: toStep(e.Offset), Others: neighbours(e)}
	far, nearer := rivals(peaks, e), beats(as, peaks, e)
	switch {
	case taps < MinTaps || e.N < MinTaps && 2*e.N >= taps:
		v = Verdict{Code: TooFew, More: max(MinTaps-e.N, 1)}
	case float64(len(rep.Pairs)) < fewestPairs(taps) || e.N < MinTaps:
		v = Verdict{Code: NoFit}
	case rep.Rate.Grows:
		v = Verdict{Code: RateWrong}
	case len(nearer) > 0:
		v = smallest(append(append(far, nearer...), v.Nudge))
	case apart != nil:
		v.Code, v.Lane = LaneApart, apart.Name
	case len(far) > 0:
		v = smallest(append(far, v.Nudge))
	default:
		v = v.of(e)
	}
	v.Text = verdictText(v, rep, apart)
	return v
}

// of is the verdict of one estimate alone, where nothing else speaks against it.
func (v Verdict) of(e Estimate) Verdict {
	switch {
	case e.High-e.Low > widest:
		return Verdict{Code: TooWide, More: moreFor(e)}
	case v.Nudge == 0:
		v.Code = InPlace
	case e.Low <= 0 && e.High >= 0:
		return Verdict{Code: InSpread}
	default:
		v.Code = Nudge
	}
	return v
}

// fewestPairs is the least number of taps that meet a cue by more than bad
// luck, three standard deviations of it, if the cue list and the rate fit.
func fewestPairs(taps int) float64 {
	n := float64(taps)
	return n*(1-strayTaps) - 3*math.Sqrt(n*strayTaps*(1-strayTaps))
}

// neighbours returns the steps other than the nearest that the interval reaches.
func neighbours(e Estimate) []time.Duration {
	var out []time.Duration
	for n := toStep(e.Low); n <= toStep(e.High); n += NudgeStep {
		if n != toStep(e.Offset) {
			out = append(out, n)
		}
	}
	sortBySize(out)
	return out
}

// rivalChance is the chance, against that of the likeliest shift, from which
// another is worth telling.
const rivalChance = 1.0 / 20

// rivals returns the nudges, further than a step from the estimate, that explain
// the taps nearly as well.
func rivals(peaks []peak, e Estimate) []time.Duration {
	var out []time.Duration
	for _, p := range peaks[1:] {
		n := toStep(seconds(p.shift))
		near := n - toStep(e.Offset)
		if p.slope == 0 && p.chance >= rivalChance*peaks[0].chance && (near > NudgeStep || near < -NudgeStep) {
			out = append(out, n)
		}
	}
	return out
}

// smallest makes an ambiguous verdict of nudges that fit alike.
func smallest(nudges []time.Duration) Verdict {
	sortBySize(nudges)
	nudges = slices.Compact(nudges)
	return Verdict{Code: Ambiguous, Nudge: nudges[0], Others: nudges[1:]}
}

func sortBySize(ds []time.Duration) {
	slices.SortFunc(ds, func(a, b time.Duration) int {
		return cmp.Or(cmp.Compare(a.Abs(), b.Abs()), cmp.Compare(a, b))
	})
}

// moreFor guesses how many more taps narrow the interval to widest: it narrows
// with the root of their number.
func moreFor(e Estimate) int {
	r := float64(e.High-e.Low) / float64(widest)
	return max(1, int(math.Ceil(float64(e.N)*(r*r-1))))
}
