package follow

import (
	"math"

	"drylane/show/timebase"
)

// mtcStretch is as ltcStretch. A MIDI interface is a millisecond early or late.
const mtcStretch = 10

// quarters make a label of MIDI timecode, and two frames pass in them.
const quarters, mtcFrames = 8, 2

// An MTC follows MIDI timecode. A label is that of the moment of its first piece;
// one that a player was set to, a full frame, is read and not followed: quarter
// frames say that it runs.
type MTC struct {
	Follower
	parser midiParser
	bits   [quarters]byte
	times  [quarters]float64
	last   int // the latest piece, -1 for none
	run    int // pieces in order so far: above 0 upwards, below 0 downwards
	paced  float64
}

// NewMTC returns a reader of MIDI bytes whose moments are counted in units of which
// there are cfg.SampleRate in a second.
func NewMTC(cfg Config) *MTC {
	return &MTC{Follower: *newFollower(cfg, mtcStretch), last: -1}
}

// Write takes bytes that came in at a moment, no earlier than those before. It
// allocates nothing.
func (r *MTC) Write(bytes []byte, at float64) {
	for _, b := range bytes {
		if m, ok := r.parser.next(b); ok {
			r.message(m, at)
		}
	}
	r.pass(at)
}

// Pass tells that nothing has come in up to a moment.
func (r *MTC) Pass(at float64) { r.pass(at) }

// WritePaced takes bytes of which nobody knows when they came in: each quarter frame
// then takes as long as it does at the pace. So a pause in them is not seen, a jump is.
func (r *MTC) WritePaced(bytes []byte, pace timebase.Rate) {
	for _, b := range bytes {
		m, ok := r.parser.next(b)
		if !ok {
			continue
		}
		r.message(m, r.paced)
		if m.quarter {
			r.paced += r.rate() / (4 * pace.FPS())
			r.pass(r.paced)
		}
	}
}

// Paced is the moment up to which bytes have been read by WritePaced.
func (r *MTC) Paced() float64 { return r.paced }

// Pace is the rate that MIDI bytes tell of themselves, 0 if they do not: 24 may be
// 23.976 and 30 may be 29.97.
func Pace(bytes []byte) timebase.Rate {
	var p midiParser
	for _, b := range bytes {
		m, ok := p.next(b)
		hours := m.full[0]
		if m.quarter {
			hours = m.bits << 4
		}
		if ok && (!m.quarter || m.piece == quarters-1) {
			return [...]timebase.Rate{timebase.FPS24, timebase.FPS25, timebase.FPS2997Drop, timebase.FPS30}[hours>>5&3]
		}
	}
	return 0
}

func (r *MTC) message(m midiMessage, at float64) {
	if !m.quarter {
		r.located(m)
		return
	}
	piece := int(m.piece)
	switch {
	case r.last >= 0 && piece == (r.last+1)%quarters:
		r.run = max(r.run, 0) + 1
	case r.last >= 0 && piece == (r.last+quarters-1)%quarters:
		r.run = min(r.run, 0) - 1
	default:
		r.run = 0
	}
	r.last, r.bits[piece], r.times[piece] = piece, m.bits, at
	switch {
	case piece == quarters-1 && r.run >= quarters-1:
		r.whole(r.times[0], at, false)
	case piece == 0 && r.run <= 1-quarters:
		r.whole(r.times[quarters-1], at, true)
	}
}

// whole takes the label of eight pieces, of which the first came at one moment and
// the last at another.
func (r *MTC) whole(first, last float64, reverse bool) {
	b := &r.bits
	l, count, ok := midiLabel(b[6]|b[7]<<4, b[4]|b[5]<<4, b[2]|b[3]<<4, b[0]|b[1]<<4)
	if length := (last - first) * quarters / (quarters - 1); ok && length > 0 && !math.IsInf(length, 0) {
		r.add(Label{Timecode: l, Start: first, Length: length, Frames: mtcFrames, Reverse: reverse, Count: count})
	}
}

// located takes the label that a player has been set to: what ran has come to its end.
func (r *MTC) located(m midiMessage) {
	r.last, r.run = -1, 0
	if l, _, ok := midiLabel(m.full[0], m.full[1], m.full[2], m.full[3]); ok {
		r.Follower.run, r.now.Label, r.now.Read = 0, l, true
		r.Follower.last = Label{Timecode: l}
	}
}
