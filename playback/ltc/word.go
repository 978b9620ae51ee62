package ltc

import (
	"math/bits"

	"drylane/show/timebase"
)

// A Word is the 80 bits of one frame, the first bit sent being the lowest bit
// of the first byte. Digits are in BCD, lowest bit first:
//
//	 0- 3 frames      8- 9 tens   10 drop frame   11 colour frame
//	16-19 seconds    24-26 tens   27 flag
//	32-35 minutes    40-42 tens   43 flag
//	48-51 hours      56-57 tens   58 flag         59 flag
//	64-79 sync word 0011 1111 1111 1101, in the order sent
//
// The bits between are binary groups 1 to 8. What the flags mean depends on
// the rate, see flagBits.
type Word [10]byte

// UserBits are the eight binary groups of a frame, group 1 in the lowest four
// bits.
type UserBits uint32

// Groups is the set of binary group flags, which say what the user bits hold.
type Groups uint8

// The binary group flags.
const (
	BGF0 Groups = 1 << iota // user bits are 8-bit characters
	BGF1                    // the label is the time of day
	BGF2                    // user bits hold date and time zone
)

// Extras are what a frame carries beside its label.
type Extras struct {
	User   UserBits
	Groups Groups
	Colour bool // locked to a colour television sequence
}

// Places in a Word.
const (
	dropBit   = 10
	colourBit = 11
	syncStart = 64
)

// syncWord in the order sent, first bit lowest; and sent backwards.
const (
	syncWord     = 0xBFFC
	syncBackward = 0x3FFD
)

// digits are where the time digits stand: first bit, length, weight.
var digits = [8]struct {
	bit, len uint
	tens     bool
}{
	{0, 4, false}, {8, 2, true}, {16, 4, false}, {24, 3, true},
	{32, 4, false}, {40, 3, true}, {48, 4, false}, {56, 2, true},
}

// flagBits returns the place of the polarity correction bit and of the flags
// BGF0, BGF1 and BGF2 (ST 12-1: 25 frames a second swap them around).
func flagBits(r timebase.Rate) (polarity uint, bgf [3]uint) {
	if r.Count() == 25 {
		return 59, [3]uint{27, 58, 43}
	}
	return 27, [3]uint{43, 58, 59}
}

// NewWord returns the frame labelled t at rate r. The polarity correction bit is set such
// that the number of ones is even: then every frame starts with the same edge.
func NewWord(r timebase.Rate, t timebase.Timecode, x Extras) Word {
	var low uint64
	for i, v := range [4]int{t.F, t.S, t.M, t.H} {
		low |= uint64(v%10)<<digits[2*i].bit | uint64(v/10)<<digits[2*i+1].bit
	}
	for i := range 8 {
		low |= uint64(x.User>>(4*i)&15) << (8*i + 4)
	}
	if t.Drop {
		low |= 1 << dropBit
	}
	if x.Colour {
		low |= 1 << colourBit
	}
	polarity, bgf := flagBits(r)
	for i, bit := range bgf {
		low |= uint64(x.Groups>>i&1) << bit
	}
	if (bits.OnesCount64(low)+bits.OnesCount16(syncWord))%2 != 0 {
		low |= 1 << polarity
	}
	return newWord(low, syncWord)
}

// newWord packs bits 0-63 and 64-79.
func newWord(low uint64, high uint16) (w Word) {
	for i := range 8 {
		w[i] = byte(low >> (8 * i))
	}
	w[8], w[9] = byte(high), byte(high>>8)
	return w
}

// low returns bits 0 to 63.
func (w Word) low() (v uint64) {
	for i := range 8 {
		v |= uint64(w[i]) << (8 * i)
	}
	return v
}

// Timecode returns the label in w; ok is false if it is none, as its digits
// are out of range.
func (w Word) Timecode() (t timebase.Timecode, ok bool) {
	low := w.low()
	var v [4]int
	for i, d := range digits {
		digit := int(low >> d.bit & (1<<d.len - 1))
		if digit > 9 {
			return timebase.Timecode{}, false
		}
		if d.tens {
			digit *= 10
		}
		v[i/2] += digit
	}
	t = timebase.Timecode{H: v[3], M: v[2], S: v[1], F: v[0], Drop: low>>dropBit&1 != 0}
	return t, t.InRange()
}

// Extras returns what w carries beside its label. The rate is needed to know
// the flags apart.
func (w Word) Extras(r timebase.Rate) (x Extras) {
	low := w.low()
	for i := range 8 {
		x.User |= UserBits(low>>(8*i+4)&15) << (4 * i)
	}
	_, bgf := flagBits(r)
	for i, bit := range bgf {
		x.Groups |= Groups(low>>bit&1) << i
	}
	x.Colour = low>>colourBit&1 != 0
	return x
}
