package riff

import "encoding/binary"

// Format tags of a fmt chunk.
const (
	PCM        = 0x0001
	Float      = 0x0003
	Extensible = 0xFFFE
)

// subformat ends the GUID of an extensible fmt chunk; the two bytes before it
// are the format tag (KSDATAFORMAT_SUBTYPE_PCM and its kin).
const subformat = "\x00\x00\x00\x00\x10\x00\x80\x00\x00\xAA\x00\x38\x9B\x71"

// A Format is what a fmt chunk says.
type Format struct {
	Tag      uint16 // of an extensible format that of its subformat
	Channels int
	Rate     int // frames a second
	Block    int // bytes a frame
	Bits     int // bits a sample
}

// ParseFormat reads the body of a fmt chunk; ok is false for a broken one.
func ParseFormat(b []byte) (f Format, ok bool) {
	le := binary.LittleEndian
	if len(b) < 16 {
		return f, false
	}
	f = Format{
		Tag: le.Uint16(b), Channels: int(le.Uint16(b[2:])), Rate: int(le.Uint32(b[4:])),
		Block: int(le.Uint16(b[12:])), Bits: int(le.Uint16(b[14:])),
	}
	if f.Tag == Extensible && len(b) >= 40 && string(b[26:40]) == subformat {
		f.Tag = le.Uint16(b[24:])
	}
	return f, true
}
