package align

import (
	"context"
	"math"

	"drylane/playback/internal/robust"
)

// The thresholds of the verdict, on the windows that count.
const (
	sameShare   = 0.8  // on one line: the same music
	partlyShare = 0.25 // on one line, in one stretch: partly the same
	leastOn     = 6    // windows on the line, below which it may be chance
	leastRun    = 10   // of them in a stretch for a part of the music
)

// judge measures the best contender in full and gives the verdict.
func (c *comparison) judge(ctx context.Context, found ranking) (Result, error) {
	res := Result{Verdict: Different, Polarity: 1}
	if len(found) == 0 {
		return res, nil
	}
	best := found[0]
	// Where hardly a window of the screening lies on the line there is no need
	// to look at more of them.
	if len(best.on) >= 2 {
		var err error
		if best, err = c.try(ctx, best.line, settledReach, finalWindows); err != nil {
			return Result{}, err
		}
	}
	res.WindowsTotal, res.WindowsUsed = len(best.readings), len(best.on)
	verdict, from, to := best.verdict()
	if verdict == Different {
		return res, nil
	}
	rival, looped, err := c.rival(ctx, &best)
	if err != nil {
		return Result{}, err
	}
	if looped && best.share() < loopShare {
		return res, nil
	}
	res.Verdict, res.Same = verdict, verdict == Same
	c.describe(&res, &best, from, to)
	if looped {
		res.Ambiguous, res.AlternativeMs = true, 1000*rival.start
	}
	res.Confidence = confidence(&res)
	return res, nil
}

// verdict weighs the windows on the line. Those numbered from to to-1 bound the
// part of A that is found.
func (c *contender) verdict() (v Verdict, from, to int) {
	if c.onLine() >= sameShare && len(c.on) >= leastOn {
		return Same, 0, len(c.on)
	}
	from, to = c.stretch()
	if float64(to-from) >= max(leastRun, partlyShare*float64(len(c.readings))) {
		return Partly, from, to
	}
	return Different, 0, 0
}

// describe fills in what the windows on the line say; those numbered from to
// to-1 bound the part of A that is found.
func (c *comparison) describe(res *Result, best *contender, from, to int) {
	res.OffsetMs = 1000 * best.start
	res.RatePPM = 1e6 * (best.ratio - 1)
	res.RateErrorPPM = 1e6 * best.fit.SlopeSE
	res.SpreadMs = 1000 * best.fit.SD
	res.Cause = CauseOf(res.RatePPM, res.RateErrorPPM)
	var shares, gains []float64
	upright := 0.0
	for _, i := range best.on {
		r := best.readings[i]
		shares, gains = append(shares, r.share), append(gains, r.gain)
		upright += r.polarity
	}
	res.Shared = robust.Mean(shares)
	res.GainDB = db(robust.Median(gains))
	if upright < 0 {
		res.Polarity = -1
	}
	half := 500 * c.window
	res.FromMs = 1000*best.readings[best.on[from]].at - half
	res.ToMs = 1000*best.readings[best.on[to-1]].at + half
	res.Swapped = c.swapped(best, float64(res.Polarity))
	res.AMissing, res.BMissing = c.missing(best)
	res.OneSide = c.oneSide(best)
	if res.BMissing != "" {
		res.GainDB += db(2) // the sum of both is half of the one
	} else if res.AMissing != "" {
		res.GainDB -= db(2)
	}
}

// confidence is the score described at Result.
func confidence(res *Result) float64 {
	on := float64(res.WindowsUsed) / float64(res.WindowsTotal)
	few := 1 - math.Exp(-float64(res.WindowsUsed)/8)
	conf := on * few * min(1, res.Shared/0.6)
	if res.Ambiguous {
		conf = min(conf, 0.4)
	}
	return max(0, min(1, conf))
}
