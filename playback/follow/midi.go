package follow

import "drylane/show/timebase"

// A midiMessage is what MIDI bytes tell of timecode (MIDI 1.0 Detailed
// Specification, MIDI Time Code): a quarter frame, F1 and a byte with the number of
// a piece and four bits of a label; or a full frame, F0 7F device 01 01 hours minutes
// seconds frames F7, by which a player says where it has been set to.
type midiMessage struct {
	quarter bool
	piece   byte // 0 to 7, with quarter
	bits    byte // 0 to 15, with quarter
	full    [4]byte
}

// A midiParser finds them among all other MIDI bytes. Its zero value is ready.
type midiParser struct {
	quarter bool    // the next data byte is a quarter frame's
	sysex   bool    // data bytes are those of a system exclusive message
	body    [9]byte // of it, without F0 and F7
	n       int     // bytes of it so far, beyond len(body) too
}

// The bytes of the status that matter here. From realtime on a byte stands for
// itself and may lie within any other message.
const (
	sysexBegins  = 0xF0
	quarterFrame = 0xF1
	sysexEnds    = 0xF7
	realtime     = 0xF8
)

// next takes a byte and returns the message that it completes.
func (p *midiParser) next(b byte) (m midiMessage, ok bool) {
	switch {
	case b >= realtime:
	case b >= 0x80:
		if b == sysexEnds && p.sysex {
			m, ok = p.fullFrame()
		}
		p.quarter, p.sysex, p.n = b == quarterFrame, b == sysexBegins, 0
	case p.quarter:
		p.quarter = false // a system message has no running status
		return midiMessage{quarter: true, piece: b >> 4, bits: b & 0x0F}, true
	case p.sysex:
		if p.n < len(p.body) {
			p.body[p.n] = b
		}
		p.n = min(p.n+1, len(p.body)+1)
	}
	return m, ok
}

// fullFrame is the message that a system exclusive message is, if it is one.
func (p *midiParser) fullFrame() (m midiMessage, ok bool) {
	const length = 8
	if p.n != length || p.body[0] != 0x7F || p.body[2] != 1 || p.body[3] != 1 {
		return m, false
	}
	copy(m.full[:], p.body[4:length])
	return m, true
}

// midiLabel is the label of hours (with the code of the rate above them), minutes,
// seconds and frames, and how many frames are counted to a second. ok is false for
// what is no label.
func midiLabel(h, m, s, f byte) (l timebase.Timecode, count int, ok bool) {
	kind := h >> 5 & 3
	count = [...]int{24, 25, 30, 30}[kind]
	l = timebase.Timecode{H: int(h & 0x1F), M: int(m), S: int(s), F: int(f), Drop: kind == 2}
	return l, count, l.InRange() && l.F < count && !(l.Drop && l.Dropped())
}
