package drill

import "math"

// What a habit may cost stands in this file. That a needless hold is cheap and a late
// one is not, and that no delay is worth a resume with something open, is common
// practice, no source; the figures are drylane's own.
const (
	mostNeedless = 0.1  // of the marks, for all needless holds of a run
	mostDelay    = 0.05 // of the marks, for delays where the drill does not look at what a resume leaves open
	below        = 0.9  // what must cost less than something else costs so much of that at most
)

// addUp shares out 100 points over the lines that count.
func (res *Result) addUp() {
	weights := res.weights()
	var all, lost float64
	for _, w := range weights {
		all += w
	}
	if res.Scored = all > 0; !res.Scored {
		return
	}
	if free := res.onlyNeedless(); free { // nothing else was asked for: the rest is had
		all /= mostNeedless
	}
	for i := range res.Lines {
		l := &res.Lines[i]
		l.Of = 100 * weights[i] / all
		l.Points = l.Of * l.share(l.Value, l.Grade)
		lost += l.Of - l.Points
	}
	res.Score = int(math.Round(max(0, 100-lost)))
}

// weights are those of the lines, 0 for one that is left out, with what a needless
// hold and a delay can cost cut down to what it may.
func (res *Result) weights() []float64 {
	weights := make([]float64, len(res.Lines))
	var delays, rest float64
	hold, open := math.Inf(1), math.Inf(1) // the least that a missed call and an open resume cost
	for i, l := range res.Lines {
		if l.Grade == LeftOut {
			continue
		}
		w := l.weight()
		switch weights[i] = w; l.Kind {
		case NeedlessHolds:
			continue
		case TimeToResume, TimeToGoOnSilent:
			delays += w
			continue
		case TimeToHold, TimeToCut:
			hold = min(hold, w)
		case UnclearResumes:
			open = w * (1 - l.share(1, l.grade(1)))
		}
		rest += w
	}
	if rest > 0 && delays > 0 {
		most := min(delays, below*open)
		if math.IsInf(open, 1) {
			most = min(delays, rest*mostDelay/(1-mostDelay))
		}
		for i, l := range res.Lines {
			if l.Kind == TimeToResume || l.Kind == TimeToGoOnSilent {
				weights[i] *= most / delays
			}
		}
		delays = most
	}
	if rest += delays; rest > 0 {
		for i, l := range res.Lines {
			if l.Kind == NeedlessHolds {
				weights[i] = min(weights[i], rest*mostNeedless/(1-mostNeedless), below*late*hold)
			}
		}
	}
	return weights
}

// onlyNeedless reports whether needless holds are all that counts.
func (res *Result) onlyNeedless() bool {
	for _, l := range res.Lines {
		if l.Grade != LeftOut && l.Kind != NeedlessHolds {
			return false
		}
	}
	return true
}
