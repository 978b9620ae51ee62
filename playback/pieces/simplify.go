package pieces

import (
	"math"

	"drylane/playback/locate"
)

// simplify takes for one piece what may be: in music that repeats itself blocks lie on
// several lines, and where all those of one group lie on that of its neighbour there was
// no hold between them.
func (f *follower) simplify(groups [][]sight) [][]sight {
	for i := 0; i+1 < len(groups); {
		a, b := groups[i], groups[i+1]
		switch {
		case f.fits(a, b[0]):
			groups = f.join(groups, i, b[0])
		case f.fits(b, a[len(a)-1]):
			groups = f.join(groups, i, a[len(a)-1])
		default:
			i++
			continue
		}
		i = max(0, i-1)
	}
	return groups
}

// fits reports whether the blocks of a group lie as well on the line of another block.
func (f *follower) fits(group []sight, line sight) bool {
	own, there := 0.0, 0.0
	for _, s := range group {
		own += s.score
		there += f.onto(s, line).score
	}
	return there >= 0.9*own
}

// onto looks a block up on another line.
func (f *follower) onto(s, line sight) sight {
	at := line.at + s.heard - line.heard
	p, _ := f.near(int(s.heard*locate.Rate+0.5), block, at, about+locate.MaxPPM*1e-6*math.Abs(s.heard-line.heard))
	return sight{s.heard, p.At, p.Score}
}

// join puts groups i and i+1 on one line.
func (f *follower) join(groups [][]sight, i int, line sight) [][]sight {
	var all []sight
	for _, g := range groups[i : i+2] {
		for _, s := range g {
			if t := f.onto(s, line); t.score >= onLine {
				all = append(all, t)
			}
		}
	}
	return append(append(append([][]sight(nil), groups[:i]...), all), groups[i+2:]...)
}
