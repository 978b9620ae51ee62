package locate

import (
	"math"

	"drylane/playback/internal/robust"
)

// A Sighting is what a lookup said of a block.
type Sighting struct {
	Heard  float64 // when the block's first sample was heard, in seconds of the recorder's clock
	Places []Place
}

// A Line says where in the music a recording is: at the moment h of the recorder's clock,
// in seconds, at Offset + Rate*h.
type Line struct {
	Offset, Rate float64
	On, Of       int // blocks that lie on it, and blocks that had any places
	// Score adds up the scores of the blocks on the line: the root of the sum of their
	// squares, each less what chance gives. For blocks that do not overlap it grows with
	// the root of their number.
	Score float64
	// Confidence, 0 to 1, says how sure it is that the sound is this music, here or at a
	// place that is like this one: see Rivals. It goes by the Score without the best
	// block, since one drum alone may be like another; so of one block it is 0. It is 0.5
	// at a score that music with the same instruments and tempo did not reach in trials,
	// and 0.95 at a quarter more.
	Confidence float64
	// Rivals are the scores and offsets, against this line's, of other lines that come
	// near it: music that repeats itself has some, the best first.
	Rivals []Rival
}

// A Rival is another line that comes near the best one.
type Rival struct {
	Later float64 // in the music, in seconds; below 0: earlier
	Score float64
}

// At is the place at a moment.
func (l Line) At(heard float64) float64 { return l.Offset + l.Rate*heard }

const (
	// MaxPPM is by how much clocks may differ.
	MaxPPM = 150
	// lineWidth is how far from the line a block may lie, in seconds.
	lineWidth = 0.003
	// lineFloor is below what nothing counts as off the line: a tenth of a sample.
	lineFloor = 12e-6
	// rivalShare is the share of the best line's score from which another is a rival.
	rivalShare = 0.6
	// anchors is how many places of each block a line may go through.
	anchors = 6
	// sureScore is the score without the best block that has a Confidence of a half.
	sureScore = 7
)

// FitLine puts the best line through sightings that do not overlap. ok is false when
// there are no places at all.
func FitLine(all []Sighting) (best Line, ok bool) {
	offset, score := 0.0, 0.0
	each(all, func(o float64) {
		if s := support(all, o); s > score {
			offset, score = o, s
		}
	})
	if score == 0 {
		return Line{Rate: 1}, false
	}
	best = through(all, offset)
	each(all, func(o float64) {
		best.rival(o-offset, support(all, o))
	})
	return best, true
}

// each calls fn with the offset of each line, of rate 1, that goes through a place.
func each(all []Sighting, fn func(offset float64)) {
	for _, s := range all {
		for _, p := range s.Places[:min(len(s.Places), anchors)] {
			fn(p.At - s.Heard)
		}
	}
}

// on is the best of a block's places near the line with an offset.
func (s Sighting) on(offset, width float64) (p Place, ok bool) {
	for _, q := range s.Places {
		if math.Abs(q.At-s.Heard-offset) <= width && q.Score > p.Score {
			p, ok = q, true
		}
	}
	return p, ok
}

// width is how far from a line of rate 1 the places of any may lie.
func width(all []Sighting) float64 {
	return lineWidth + MaxPPM*1e-6*(all[len(all)-1].Heard-all[0].Heard)
}

// support is the Score of the line with an offset.
func support(all []Sighting, offset float64) float64 {
	sum, w := 0.0, width(all)
	for _, s := range all {
		if p, ok := s.on(offset, w); ok {
			sum += overChance(p)
		}
	}
	return math.Sqrt(sum)
}

func overChance(p Place) float64 { return max(0, p.Score*p.Score-leastScore*leastScore) }

// through puts a line through the places near that with an offset.
func through(all []Sighting, offset float64) Line {
	l, sum, top := Line{}, 0.0, 0.0
	var x, y, w []float64
	width := width(all)
	for _, s := range all {
		if len(s.Places) > 0 {
			l.Of++
		}
		if p, ok := s.on(offset, width); ok {
			x, y, w = append(x, s.Heard), append(y, p.At-s.Heard-offset), append(w, overChance(p))
		}
	}
	f, on := robust.Line(x, y, w, lineWidth, MaxPPM*1e-6, lineFloor)
	for _, k := range on {
		sum += w[k]
		top = max(top, w[k])
	}
	l.Offset, l.Rate = offset+f.Intercept, 1+f.Slope
	l.On, l.Score = len(on), math.Sqrt(sum)
	if l.On > 1 {
		l.Confidence = confidence(math.Sqrt(sum - top))
	}
	return l
}

// rival takes down a line that is so much later in the music, if it is one.
func (l *Line) rival(later, score float64) {
	const same, echo = 0.02, 0.25 // seconds; it is the same line, or an echo of it
	if score < rivalShare*l.Score || math.Abs(later) < echo {
		return
	}
	at := len(l.Rivals)
	for i, r := range l.Rivals {
		switch {
		case math.Abs(r.Later-later) < same && r.Score >= score:
			return
		case math.Abs(r.Later-later) < same:
			l.Rivals[i] = Rival{later, score}
			return
		case score > r.Score && at == len(l.Rivals):
			at = i
		}
	}
	l.Rivals = append(l.Rivals, Rival{})
	copy(l.Rivals[at+1:], l.Rivals[at:])
	l.Rivals[at] = Rival{later, score}
}

// confidence is the logistic function whose steepness Line.Confidence tells.
func confidence(score float64) float64 {
	const steep = 4 * 2.944 / sureScore // ln 19, at a quarter more
	return 1 / (1 + math.Exp(-steep*(score-sureScore)))
}
