package ltc

import (
	"math"
	"math/bits"

	"drylane/show/timebase"
)

// Speeds that a Decoder starts to read at, against nominal, and how far it
// will follow from there.
const (
	maxSpeed = 1.10
	minSpeed = 0.90
	follow   = 1.15
)

// history is how many bits are remembered: a power of two above 80.
const history = 128

// A bitReader turns edges into bits and bits into frames. It predicts where
// the next bit ends: an edge near there ends it, and edges before that are
// counted. An odd count is a 1, an even one a 0, so that a click, which makes
// two edges, does no harm.
type bitReader struct {
	nominal  float64 // samples a bit, before anything is known
	cell     float64 // samples a bit, followed
	start    float64 // where the present bit started, smoothed
	inside   int     // edges seen since
	turn     float64 // from then on an edge ends the present bit
	limit    float64 // after that no edge ends the present bit
	deadline float64 // when it is given up; +Inf if there is none

	count     int    // bits read without a break
	lastFrame int    // count at the end of the last frame, or 0
	low       uint64 // the last 80 of them, oldest first
	high      uint16
	times     [history]float64 // bit i ended at times[i%history], as seen
	peaks     [history]float64 // and was this large
	peak      float64          // largest in the present bit
	fresh     bool             // a bit was read since frame was last asked
}

// Where in a bit an edge may be, in bits.
const (
	middle  = 0.75 // before: inside; after: the end
	tooLate = 1.30 // after: not this bit's
	// The same before the length of a bit is known: nominal may be off by a
	// factor of 1.24, which puts middles at 0.40 to 0.62 and ends at 0.81 to 1.24.
	firstMiddle  = 0.71
	firstTooLate = 1.40
	// tooEarly is before what the first bit has no edge.
	tooEarly = 0.25
	// slack is by how many samples an edge may come to light late.
	slack = 2
)

func newBitReader(rate float64) bitReader {
	// Between the longest and the shortest bit: then either is told from its
	// half or its double.
	nominal := rate / 80 / math.Sqrt(timebase.FPS23976.FPS()*minSpeed*timebase.FPS30.FPS()*maxSpeed)
	return bitReader{nominal: nominal, cell: nominal, deadline: math.Inf(1)}
}

// edge takes an edge at time t, after a stretch as large as peak, and tells
// whether it ended a bit.
func (b *bitReader) edge(t, peak float64) bool {
	early := b.count == 0 && b.inside == 0 && t < b.start+tooEarly*b.cell // the real start, after a false one
	if math.IsInf(b.deadline, 1) || t > b.limit || early {
		b.begin(t)
		return false
	}
	b.peak = max(b.peak, peak)
	if t < b.turn {
		b.inside++
		return false
	}
	b.end(t)
	return true
}

// locked tells whether a frame has been read within the last two.
func (b *bitReader) locked() bool { return b.lastFrame > 0 && b.count-b.lastFrame < 160 }

// begin starts reading anew, with a bit that starts at t.
func (b *bitReader) begin(t float64) {
	if b.lastFrame == 0 { // the speed was wrong, or a guess
		b.cell = b.nominal
	}
	b.count, b.lastFrame, b.inside, b.peak = 0, 0, 0, 0
	b.start, b.times[0] = t, t
	b.turn, b.limit = t+firstMiddle*b.cell, t+firstTooLate*b.cell
	b.deadline = b.limit + slack
}

// end ends the present bit at t and follows phase and speed: at once at first,
// then slowly, to ride over noise.
func (b *bitReader) end(t float64) {
	bit := b.inside % 2
	b.low = b.low>>1 | uint64(b.high&1)<<63
	b.high = b.high>>1 | uint16(bit)<<15
	b.count++
	b.fresh = true
	b.times[b.count%history] = t
	b.peaks[b.count%history] = b.peak

	off := t - (b.start + b.cell)
	phase, speed := 1.0, 1/float64(b.count)
	if b.count > 4 {
		phase, speed = 0.5, 1/float64(min(b.count, 24))
	}
	b.start = t - (1-phase)*off
	b.cell += speed * off
	b.cell = min(max(b.cell, b.nominal/1.24/follow), b.nominal*1.24*follow)
	b.inside, b.peak = 0, 0
	b.turn, b.limit = b.start+middle*b.cell, b.start+tooLate*b.cell
	b.deadline = b.limit + slack
}

// expire gives up the present bit, as no edge has ended it in time; loud is
// when the signal was last there. The last bit before a silence lacks only
// that edge and counts, which expire tells: a 1 if its middle was seen, a 0 if
// the signal lasted.
func (b *bitReader) expire(loud float64) bool {
	whole := b.inside == 1 || b.inside == 0 && loud > b.turn && loud < b.start+1.15*b.cell
	if whole {
		b.end(b.start + b.cell)
	}
	b.deadline = math.Inf(1)
	return whole
}

// finish ends the stream at time t.
func (b *bitReader) finish(t float64) {
	if !math.IsInf(b.deadline, 1) && (b.inside == 1 || t > b.turn) {
		b.end(b.start + b.cell)
	}
	b.deadline = math.Inf(1)
}

// frame returns the frame that the last bit completes. Forwards its sync word
// has just been read, backwards the sync word was its beginning.
func (b *bitReader) frame() (f Frame, ok bool) {
	if !b.fresh || b.count < 80 {
		return Frame{}, false
	}
	b.fresh = false
	switch {
	case b.high == syncWord:
		f.Word = newWord(b.low, b.high)
	case uint16(b.low) == syncBackward:
		low := bits.Reverse64(b.low>>16 | uint64(b.high)<<48)
		f.Word, f.Reverse = newWord(low, syncWord), true
	default:
		return Frame{}, false
	}
	if f.Timecode, ok = f.Word.Timecode(); !ok {
		return Frame{}, false
	}
	b.lastFrame = b.count
	f.Start, f.Length = b.fit()
	f.Level = b.level()
	return f, true
}

// fit lays a straight line through the ends of the last 80 bits, by least
// squares: one edge may be off, the frame is not.
func (b *bitReader) fit() (start, length float64) {
	const half, squares = 40, 2 * 40 * 41 * 81 / 6
	origin := b.times[(b.count-half)%history]
	var mean, slope float64
	for i := -half; i <= half; i++ {
		t := b.times[(b.count-half+i)%history] - origin
		mean += t / (2*half + 1)
		slope += float64(i) * t / squares
	}
	return origin + mean - half*slope, 2 * half * slope
}

// level is the mean size of the last 80 bits, in dBFS.
func (b *bitReader) level() float64 {
	var sum float64
	for i := range 80 {
		sum += b.peaks[(b.count-i)%history]
	}
	return 20 * math.Log10(max(sum/80, faintest))
}
