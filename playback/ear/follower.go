package ear

import (
	"fmt"
	"math"
	"time"

	"drylane/playback/follow"
	"drylane/playback/locate"
)

// A Follower follows music by what is heard.
type Follower struct {
	cfg    Config
	narrow *locate.Narrow
	heard  []float32 // from sample first on
	first  int64
	fresh  int64 // from where on sound may be looked up: what came before belongs to what was lost

	search Search
	asked  bool  // somebody is at it
	longer bool  // the next short block is one of the longer kind
	next   int64 // sample at which the next lookup, or measurement, is due
	whole  int64 // ... and of a whole block in all of the music

	tracker *locate.Tracker
	watch   watch
	slip    locate.Reading // where the music may have slipped to, by the last block
	offset  float64        // where in the music sample 0 is, while followed
	present int64          // up to which sample the music was last heard
	stop    float64        // the place there, when it was lost
	now     follow.Now
	top     time.Duration // the furthest place told since the lock
}

// New returns a Follower that searches.
func New(cfg Config) (*Follower, error) {
	n, err := locate.NewNarrow(cfg.SampleRate)
	if err != nil {
		return nil, fmt.Errorf("cannot follow: %w", err)
	}
	f := &Follower{cfg: cfg, narrow: n, heard: make([]float32, 0, 4*room), tracker: locate.NewTracker(cfg.Music), now: follow.Now{Music: true, Speed: 1}}
	f.search = Search{block: make([]float32, 0, locate.BlockLength), readings: make([]reading, 0, mostReadings)}
	return f, nil
}

// room is how many samples are kept.
const room = locate.BlockLength + keep

// piece is how many frames are taken at once, so that no more is kept than there is room.
const piece = 4096

// Write takes in what was heard next. Once it has run for a while it allocates nothing.
func (f *Follower) Write(frames [][2]float64) {
	for len(frames) > 0 {
		n := min(piece, len(frames))
		f.heard = f.narrow.Write(f.heard, frames[:n])
		frames = frames[n:]
		for f.now.Following() && f.count() >= f.next {
			f.measure()
		}
		if len(f.heard) > 3*room {
			drop := len(f.heard) - room
			f.heard = f.heard[:copy(f.heard, f.heard[drop:])]
			f.first += int64(drop)
		}
	}
}

// count is how many samples have been heard.
func (f *Follower) count() int64 { return f.first + int64(len(f.heard)) }

// block is what was heard up to a sample.
func (f *Follower) block(end, length int64) []float32 {
	return f.heard[end-length-f.first : end-f.first]
}

// place is where in the music a sample is, while followed.
func (f *Follower) place(sample int64) float64 { return f.offset + seconds(sample) }

// measure looks whether the music is where it is due.
func (f *Follower) measure() {
	const closely, widely, gain = 0.0006, 0.003, 0.15
	end, from := f.next, f.next-locate.TrackLength
	f.next += hop
	reach := closely
	if f.now.State == follow.Carried {
		reach = widely
	}
	m := f.cfg.Music
	r := f.tracker.Measure(f.block(end, locate.TrackLength), f.place(from), reach)
	switch f.watch.see(levelOf(r.Music, m.Loud()), r.Score, r.Heard*r.Heard) {
	case present:
		f.present, f.now.State = end, follow.Locked
		f.offset += gain * r.Lag
	default:
		if end-f.present > samples(500*time.Millisecond) {
			f.now.State = follow.Carried
		}
		f.slipped(end)
	}
	switch {
	case f.place(end) >= m.Length():
		f.lose(m.Length())
		f.fresh = end
	case f.watch.stopped():
		f.lose(f.place(end))
	}
}

// slipped goes on at another place close by, where a player that has stumbled goes on: two
// blocks in a row must clearly be there.
func (f *Follower) slipped(end int64) {
	const after, reach, score = 3 * hop, 0.24, 6
	if end-f.present < after {
		f.slip = locate.Reading{}
		return
	}
	r := f.tracker.Measure(f.block(end, locate.TrackLength), f.place(end-locate.TrackLength), reach)
	if min(r.Score, f.slip.Score) < score || math.Abs(r.Lag-f.slip.Lag) > sameOffset {
		f.slip = r
		return
	}
	f.offset += r.Lag
	f.present, f.now.State = end, follow.Locked
	f.now.Slips++
	f.watch.again()
}

// lose ends the following at a place.
func (f *Follower) lose(place float64) {
	f.now.State, f.now.Why = follow.Lost, follow.Stopped
	f.now.Loss = follow.Loss{N: f.now.Loss.N + 1, Why: follow.Stopped, Place: max(f.top, duration(place))}
	f.stop, f.fresh = f.place(f.present), f.present
	f.watch.again()
	f.next, f.whole = f.count(), f.count()
}

func duration(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

// Job returns a Search that is wanted, or nil. No other is wanted before it has come back
// to Found.
func (f *Follower) Job() *Search {
	end := f.count()
	have := end - max(f.fresh, f.first)
	step, length := int64(searchStep), int64(leastBlock)
	if f.now.Locks > 0 {
		step, length = resumeStep, resumeBlock
	}
	if f.now.Following() || f.asked || end < f.next || have < length {
		return nil
	}
	f.next, f.asked = end+step, true
	s := &f.search
	s.since, s.kind, s.stopped = f.fresh, short, f.now.Locks > 0
	f.expect(s)
	switch {
	case end >= f.whole:
		s.kind, length = whole, min(have, locate.BlockLength)
		f.whole = end + max(locate.BlockLength/4, int64(2*locate.Rate*f.cfg.Music.Length()/3600))
	case f.longer && have >= longerBlock:
		s.kind, length = longer, longerBlock
		fallthrough
	default:
		f.longer = !f.longer
	}
	s.start, s.block = end-length, append(s.block[:0], f.block(end, length)...)
	return s
}

// Where music is expected: places behind and ahead of the beginning, or of where it was
// lost, in seconds; the score that a short block must have there, twice; and how much of
// it another place may have, of all the music. At the beginning it may be any music: two
// pieces of one instrument can be alike for some seconds, and then so are several places.
const (
	expectBehind = 3
	expectAhead  = 12
	startScore   = 9.0
	startRival   = 0.6
	resumeScore  = 7.5
	resumeRival  = 0.8
)

// expect says where music is expected.
func (f *Follower) expect(s *Search) {
	if f.now.Locks == 0 {
		s.expected, s.score, s.rival = locate.Span{From: seconds(leastBlock), To: expectAhead}, startScore, startRival
		return
	}
	s.expected, s.score, s.rival = locate.Span{From: f.stop - expectBehind, To: f.stop + expectAhead}, resumeScore, resumeRival
}

// Found takes back the Search that Job gave, once a Searcher has run it.
func (f *Follower) Found(s *Search) {
	f.asked = false
	switch {
	case f.now.Following() || s.since != f.fresh:
	case s.found:
		f.lock(s)
	case s.times > 1:
		f.now.Why, f.now.Times = follow.Unsure, s.times
	case f.now.Why == follow.Unsure && len(s.block) == locate.BlockLength:
		f.now.Why, f.now.Times = follow.NoReason, 0
	}
}

// lock begins to follow what was found.
func (f *Follower) lock(s *Search) {
	f.offset = s.offset
	for _, r := range s.readings {
		if r.score > leastTold {
			f.watch.learn(r.step, r.score, r.power)
		}
	}
	end := f.count()
	f.now.Again = f.now.Locks > 0 && f.place(end) >= s.expected.From && f.place(end) <= s.expected.To
	f.now.State, f.now.Why, f.now.Times = follow.Locked, follow.NoReason, 0
	f.now.Locks++
	f.present, f.next, f.top = end, end+hop, math.MinInt64
}

// At tells how the following stands, with the place as it is at a frame of what is heard,
// which may be one that has not come in yet.
func (f *Follower) At(frame float64) follow.Now {
	n := f.now
	switch {
	case n.Following():
		f.top = max(f.top, duration(f.offset+frame/float64(f.cfg.SampleRate)))
		n.Place = min(f.top, max(0, duration(f.cfg.Music.Length())))
	case n.State == follow.Lost:
		n.Place = n.Loss.Place
	}
	return n
}

// Sample is how many frames have been heard.
func (f *Follower) Sample() float64 {
	return float64(f.count()) / locate.Rate * float64(f.cfg.SampleRate)
}

// Pass tells that nothing has come in up to a frame. After a second of it the music has
// stopped.
func (f *Follower) Pass(frame float64) {
	sample := int64(frame / float64(f.cfg.SampleRate) * locate.Rate)
	if f.now.Following() && sample-f.count() > samples(time.Second) {
		f.lose(f.place(sample))
		f.fresh = f.count()
	}
}
