package ear

import "math"

// A watch tells from the scores of short blocks whether the music is still heard. It
// learns from the run itself how well the music can be heard at each of its levels, and
// adds up for each block by how much likelier its score is without the music than with
// it: Page's cumulative sum (Biometrika 41, 1954), which is over its limit the sooner the
// better the music was heard.
type watch struct {
	expected [levelSteps]mean // of the score, by the level of the music
	loudness [levelSteps]mean // of the power that is heard
	sum      float64
	untold   int64 // samples since something could be told
	masked   int64 // samples in a row for which something else is much louder
}

// A mean is that of what comes, the latest counting for more.
type mean struct {
	v float64
	n int
}

func (m *mean) add(x float64) {
	m.n++
	m.v += (x - m.v) / float64(min(m.n, 60))
}

// What is known of scores.
const (
	chanceScore  = 2.2 // of other sound, on average, and how far it spreads
	chanceSpread = 0.7
	leastTold    = 3.4 // expected, below which a score tells nothing
	mostWeight   = 2.0 // of one block
	overlap      = 0.5 // by how much blocks that overlap count for less
	stopSum      = 5.0
	maskedBy     = 3.0 // times the power that is usual
	levelSteps   = 16  // of 3 dB down from the loudest
)

// levelOf is the step of a level against that of loud parts; levelSteps and more are
// silence.
func levelOf(level, loud float64) int {
	if level <= 0 || loud <= 0 {
		return levelSteps
	}
	return max(0, 2+int(math.Floor(-20*math.Log10(level/loud)/3)))
}

// expect is the score that music of a level should have; 0 where nothing is known.
func (w *watch) expect(step int) float64 {
	if step >= levelSteps {
		return 0
	}
	for up := range 3 { // quieter music is heard the worse
		if k := step - up; k >= 0 && w.expected[k].n >= 3 {
			return w.expected[k].v * math.Pow(0.8, float64(up))
		}
	}
	for k := step + 1; k < levelSteps; k++ { // and louder music at least as well
		if w.expected[k].n >= 3 {
			return w.expected[k].v
		}
	}
	return 0
}

// louder is by how much what is heard is louder than the music at that level was, and at
// any above it: a ratio of powers, 1 at the least.
func (w *watch) louder(step int, power float64) float64 {
	most := 0.0
	for k := range levelSteps {
		if w.loudness[k].n >= 3 && (k <= step || most == 0) {
			most = max(most, w.loudness[k].v)
		}
	}
	if most == 0 {
		return 1
	}
	return max(1, power/most)
}

// learn takes down how well the music was heard.
func (w *watch) learn(step int, score, power float64) {
	if step < levelSteps {
		w.expected[step].add(score)
		w.loudness[step].add(power)
	}
}

// A told is what a block tells.
type told uint8

const (
	nothing told = iota // it cannot be told
	present             // the music is there
	absent              // it is not
)

// see takes the next block's score.
func (w *watch) see(step int, score, power float64) told {
	louder := w.louder(step, power)
	mu := w.expect(step) / math.Sqrt(louder)
	drowned := louder > maskedBy
	if drowned {
		w.masked += hop
	} else {
		w.masked = 0
	}
	switch weight := overlap * againstChance(score, mu); {
	case score > leastTold+1 && (mu == 0 || weight < 0):
		w.sum, w.untold, w.masked = max(0, w.sum+min(0, weight)), 0, 0
		if !drowned {
			w.learn(step, score, power)
		}
		return present
	case drowned || mu < leastTold:
		w.untold += hop
		return nothing
	case weight < 0:
		w.sum, w.untold = max(0, w.sum+weight), 0
		w.learn(step, score, power)
		return present
	default:
		w.sum, w.untold = w.sum+weight, 0
		return absent
	}
}

// stopped reports whether the music is no more to be heard, or has not been told for too
// long.
func (w *watch) stopped() bool {
	return w.sum > stopSum || w.untold > samples(MostCarry) || w.masked > samples(drowned)
}

// againstChance is the logarithm of how much likelier a score is by chance than with music
// of which mu is expected, within bounds.
func againstChance(score, mu float64) float64 {
	spread := 0.5 + 0.25*mu
	c, m := (score-chanceScore)/chanceSpread, (score-mu)/spread
	if score < chanceScore {
		c = 0
	}
	if score > mu {
		m = 0
	}
	return max(-mostWeight, min(mostWeight, math.Log(spread/chanceSpread)+(m*m-c*c)/2))
}

// again forgets what was added up, and keeps what was learned.
func (w *watch) again() { w.sum, w.untold, w.masked = 0, 0, 0 }
