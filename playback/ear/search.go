package ear

import (
	"slices"

	"drylane/playback/locate"
)

// A kind is that of a block that is looked up.
type kind uint8

const (
	short  kind = iota // leastBlock or resumeBlock long: the first to tell, of music that is heard clearly
	longer             // longerBlock
	whole              // as long as can be, in all of the music
)

// A Search is a block that is to be looked up in all of the music, and what was found
// then. It belongs to whoever has it.
type Search struct {
	kind     kind
	block    []float32
	start    int64       // the block's first sample
	since    int64       // what was heard before this sample belongs to what was lost
	stopped  bool        // the music was followed before
	expected locate.Span // the places at which the music is likely by now
	score    float64     // that a block must have there
	rival    float64     // the most that another place may have, of that

	found    bool
	offset   float64 // where in the music sample 0 is
	times    int     // how many places there are, where it is not found for that
	readings []reading
}

// A reading is what a short block of the music that was found says.
type reading struct {
	step         int // of the music's level
	score, power float64
}

// mostReadings is how many short blocks there are in a block.
const mostReadings = (locate.BlockLength-locate.TrackLength)/hop + 1

// A Searcher looks blocks up and tells from several of them where the music is. It
// belongs to one goroutine.
type Searcher struct {
	music    *locate.Music
	finder   *locate.Finder
	tracker  *locate.Tracker
	findings findings
	since    int64
}

// NewSearcher makes one.
func NewSearcher(m *locate.Music) *Searcher {
	return &Searcher{music: m, finder: locate.NewFinder(m), tracker: locate.NewTracker(m)}
}

// Run looks a block up.
func (r *Searcher) Run(s *Search) {
	if s.since != r.since {
		r.since, r.findings = s.since, r.findings[:0]
	}
	r.findings.add(finding{s.kind, s.start, int64(len(s.block)), slices.Clone(r.finder.Find(s.block, locate.All))})
	s.found, s.times = false, 0
	if offset, ok := r.findings.close(s); ok && r.verify(s, offset, closeTold) {
		return
	}
	line, times := r.findings.line()
	if times == 1 {
		end := seconds(s.start + int64(len(s.block)))
		r.verify(s, line.At(end)-end, lineTold)
	} else {
		s.times = times
	}
}

// Of the short blocks in which the music can be heard, so many must tell of it themselves:
// where two pieces have but a drum in common, few do. Those on a line have told enough.
const (
	closeTold = 0.7
	lineTold  = 0.4
)

// verify takes an offset for that of the music if so much of what was heard last is the
// music there.
func (r *Searcher) verify(s *Search, offset, least float64) bool {
	s.offset, s.readings = offset, s.readings[:0]
	told, of := 0, 0
	for at := len(s.block) - locate.TrackLength; at >= 0; at -= hop {
		m := r.tracker.Measure(s.block[at:at+locate.TrackLength], offset+seconds(s.start+int64(at)), 0.001)
		step := levelOf(m.Music, r.music.Loud())
		s.readings = append(s.readings, reading{step, m.Score, m.Heard * m.Heard})
		if step < levelSteps {
			of++
			if m.Score > leastTold {
				told++
			}
		}
	}
	s.found = told > 1 && float64(told) >= least*float64(of)
	return s.found
}
