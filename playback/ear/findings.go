package ear

import (
	"math"
	"slices"

	"drylane/playback/locate"
)

// A finding is what was found of a block.
type finding struct {
	kind          kind
	start, length int64
	places        []locate.Place
}

// best is the best place as an offset: where in the music sample 0 is.
func (f *finding) best() (offset, score float64) {
	if len(f.places) == 0 {
		return 0, 0
	}
	return f.places[0].At - seconds(f.start), f.places[0].Score
}

// end is the sample after its last one.
func (f *finding) end() int64 { return f.start + f.length }

// echo is how near the best place, in seconds, another one may be an echo of it.
const echo = 0.25

// rival is the score of the second best place.
func (f *finding) rival() float64 {
	for _, p := range f.places {
		if math.Abs(p.At-f.places[0].At) > echo {
			return p.Score
		}
	}
	return 0
}

// findings are the latest ones, the oldest first.
type findings []finding

const mostFindings = 128

func (fs *findings) add(f finding) {
	if len(*fs) == mostFindings {
		*fs = slices.Delete(*fs, 0, 1)
	}
	*fs = append(*fs, f)
}

// How sure a line must be.
const (
	lineBlocks = 5    // blocks that it is put through
	sure       = 0.95 // its confidence
	leastOn    = 0.6  // of the blocks that lie on it
	clearRival = 0.8  // the most that another line may score, of its own score
	sameOffset = 0.002
)

// disjoint are sightings of whole blocks that do not overlap, the latest last.
func (fs findings) disjoint() (all []locate.Sighting) {
	next := int64(math.MaxInt64)
	for i := len(fs) - 1; i >= 0 && len(all) < lineBlocks; i-- {
		if f := &fs[i]; f.length == locate.BlockLength && f.end() <= next {
			all = append(all, locate.Sighting{Heard: seconds(f.start), Places: f.places})
			next = f.start
		}
	}
	slices.Reverse(all)
	return all
}

// line is the line that the latest whole blocks lie on. times is how many lines fit about
// as well, itself with them; 0 when it is no line of this music.
func (fs findings) line() (l locate.Line, times int) {
	all := fs.disjoint()
	if len(all) < 2 {
		return l, 0
	}
	l, ok := locate.FitLine(all)
	last := all[len(all)-1]
	if !ok || l.Confidence < sure || float64(l.On) < leastOn*float64(l.Of) || !onLine(last, l.At(last.Heard)) {
		return l, 0
	}
	times = 1
	for _, r := range l.Rivals {
		if r.Score > clearRival*l.Score {
			times++
		}
	}
	return l, times
}

// onLine reports whether a place of the sighting is at a moment of the music.
func onLine(s locate.Sighting, at float64) bool {
	return slices.ContainsFunc(s.Places, func(p locate.Place) bool { return math.Abs(p.At-at) < 2*sameOffset })
}

// close is the offset of the two latest blocks of the kind of the latest one, where both
// say the same and nothing else nearly as well: that the music is by now where it is
// expected. After a stop no other block may speak for another place either: an instrument
// that plays alike in several places is soon at the wrong one of them for a block or two.
func (fs findings) close(s *Search) (offset float64, ok bool) {
	b := &fs[len(fs)-1]
	var a *finding
	for i := range fs[:len(fs)-1] {
		if fs[i].kind == b.kind {
			a = &fs[i]
		}
	}
	if a == nil || b.end()-a.end() > closeWithin {
		return 0, false
	}
	was, first := a.best()
	offset, second := b.best()
	at := offset + seconds(b.end())
	ok = min(first, second) >= s.score && b.rival() <= s.rival*second &&
		math.Abs(was-offset) < sameOffset && at >= s.expected.From && at <= s.expected.To
	if s.stopped {
		ok = ok && a.rival() <= s.rival*first && !fs.dissent(offset, s.score)
	}
	return offset, ok
}

// closeWithin is how far apart, in samples, blocks that are heard one soon after the other
// may end.
const closeWithin = 2 * locate.Rate

// dissent reports whether one of the latest blocks, of any kind, has a place with the
// score that is better than any at the offset.
func (fs findings) dissent(offset, score float64) bool {
	last := fs[len(fs)-1].end()
	return slices.ContainsFunc(fs, func(f finding) bool {
		best, most := f.best()
		return last-f.end() <= closeWithin && most >= score && math.Abs(best-offset) > echo
	})
}
