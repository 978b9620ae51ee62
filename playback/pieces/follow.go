package pieces

import (
	"math"
	"slices"

	"drylane/playback/locate"
)

const (
	// about is how far from where it must lie a block is looked for, onLine the score
	// from which it is that; elsewhere the score of a place that is taken for a new one.
	about     = 0.03
	onLine    = 4.0
	elsewhere = 6.0
	// poor is the part of the usual score below which a block is looked for elsewhere,
	// too: music repeats itself, and after a hold is like what it would have been.
	poor = 0.7
	// better is by how much a place elsewhere must score more then.
	better = 1.25
	// longest is the longest hold that is looked across, in seconds, patient how long
	// each block is asked where it lies; then one in seldom is.
	longest = 3600.0
	patient = 20
	seldom  = 4
)

// follow goes from a place to the end of the recording, and to its beginning.
func (f *follower) follow(from sight) ([]sight, error) {
	k := int(from.heard/blockSeconds + 0.5)
	ahead, err := f.walk(from, k, +1)
	if err != nil {
		return nil, err
	}
	back, err := f.walk(from, k-1, -1)
	if err != nil {
		return nil, err
	}
	slices.Reverse(back)
	return append(back, ahead...), nil
}

// walk follows block after block one way, +1 or -1.
func (f *follower) walk(last sight, k, way int) ([]sight, error) {
	var out []sight
	var scores []float64
	for lost := 0; k >= 0 && k < f.blocks(); k += way {
		if err := f.ctx.Err(); err != nil {
			return nil, err
		}
		f.tell(0.3 + 0.7*f.share(k, way))
		heard := float64(k) * blockSeconds
		at := last.at + heard - last.heard
		p, ok := f.near(k*block, block, at, about+locate.MaxPPM*1e-6*math.Abs(heard-last.heard))
		ok = ok && p.Score >= onLine
		weak := ok && p.Score < poor*usual(scores)
		if !ok || weak {
			if q, found := f.jumped(k, way, lost, last, heard); found && (!ok || q.score > better*p.Score) {
				last, lost, scores = q, 0, nil
				out = append(out, q)
				continue
			}
		}
		if !ok {
			lost++
			continue
		}
		lost = 0
		last = sight{heard, p.At, p.Score}
		out, scores = append(out, last), append(scores, p.Score)
	}
	return out, nil
}

// share is how much of the walks is over: the way forwards is looked at first.
func (f *follower) share(k, way int) float64 {
	part := float64(k) / float64(f.blocks())
	if way < 0 {
		part = 1 - part
	}
	return part
}

// usual is the median of the last scores.
func usual(scores []float64) float64 {
	s := slices.Clone(scores[max(0, len(scores)-8):])
	slices.Sort(s)
	if len(s) < 3 {
		return 0
	}
	return s[len(s)/2]
}

// jumped looks for block k where the show may have gone on after a hold, or come from
// before one, and asks the next block, too.
func (f *follower) jumped(k, way, lost int, last sight, heard float64) (sight, bool) {
	if lost > patient && k%seldom != 0 {
		return sight{}, false
	}
	// The block may have begun before the music went on, or reach beyond where it was held.
	gone := math.Abs(heard - last.heard)
	where := locate.Span{From: last.at - blockSeconds, To: last.at + min(gone, longest) - jump}
	if way < 0 {
		where = locate.Span{From: last.at - gone + jump, To: last.at - gone + min(gone, longest) + blockSeconds}
	}
	var found []sight
	for _, p := range slices.Clone(f.look(k*block, block, where)) {
		if p.Score < elsewhere || len(found) > 0 && p.Score < poor*found[0].score || p.At < where.From || p.At > where.To {
			continue
		}
		next := k + way
		if q, ok := f.near(next*block, block, p.At+float64(way)*blockSeconds, about); ok && q.Score >= onLine {
			found = append(found, sight{heard, p.At, p.Score})
		}
	}
	if len(found) == 0 {
		return sight{}, false
	}
	return f.resumed(found, last, way), true
}

// resumed is the one of several places, all alike in music that repeats itself, at which
// the music goes on from where it was held.
func (f *follower) resumed(found []sight, last sight, way int) sight {
	if len(found) == 1 {
		return found[0]
	}
	held := f.edge(last, way)
	best, least := found[0], math.Inf(1)
	for _, s := range found {
		if off := math.Abs(f.edge(s, -way) - held); off < least {
			best, least = s, off
		}
	}
	return best
}

// edge is the last moment of the music that is heard on the line of a block, one way.
func (f *follower) edge(s sight, way int) float64 {
	p := Piece{From: s.at - blockSeconds, To: s.at + 2*blockSeconds, At: s.heard - blockSeconds, Rate: 1}
	if way > 0 {
		f.end(&p, s.at+10*blockSeconds)
		return p.To
	}
	f.begin(&p, s.at-10*blockSeconds)
	return p.From
}
