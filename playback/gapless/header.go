package gapless

import (
	"errors"
	"fmt"
)

// A header is the four bytes that begin an MPEG audio frame, big-endian
// (ISO/IEC 11172-3, 2.4.1.3; 13818-3 for the lower rates).
type header uint32

// headerSize is the size of a header in bytes, crcSize of the optional check
// word behind it.
const (
	headerSize = 4
	crcSize    = 2
)

// The version field. MPEG-2.5 is the common extension to rates below 16 kHz.
const (
	mpeg25 = 0
	mpeg2  = 2
	mpeg1  = 3
)

// The layer field of layer III, the only one read here.
const layer3 = 1

// granuleSize is how many frames of sound one granule holds.
const granuleSize = 576

func readHeader(b []byte) header {
	return header(b[0])<<24 | header(b[1])<<16 | header(b[2])<<8 | header(b[3])
}

func (h header) sync() bool      { return h>>21 == 0x7ff }
func (h header) version() int    { return int(h>>19) & 3 }
func (h header) layer() int      { return int(h>>17) & 3 }
func (h header) crc() bool       { return h>>16&1 == 0 }
func (h header) rateIndex() int  { return int(h>>10) & 3 }
func (h header) padding() int    { return int(h>>9) & 1 }
func (h header) mono() bool      { return h>>6&3 == 3 }
func (h header) joint() bool     { return h>>6&3 == 1 }
func (h header) intensity() bool { return h.joint() && h>>4&1 == 1 }
func (h header) midSide() bool   { return h.joint() && h>>5&1 == 1 }
func (h header) lsf() bool       { return h.version() != mpeg1 }

func (h header) bitrateIndex() int { return int(h>>12) & 15 }

// kbps are the layer III bit rates in kbit/s, by bit rate index.
var kbps = [2][15]int{
	{0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320},
	{0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160},
}

// bitrate is in bit/s, 0 for free format. The index must not be 15.
func (h header) bitrate() int {
	lsf := 0
	if h.lsf() {
		lsf = 1
	}
	return kbps[lsf][h.bitrateIndex()] * 1000
}

// rate is in Hz.
func (h header) rate() int {
	r := [3]int{44100, 48000, 32000}[h.rateIndex()]
	switch h.version() {
	case mpeg2:
		r /= 2
	case mpeg25:
		r /= 4
	}
	return r
}

func (h header) channels() int {
	if h.mono() {
		return 1
	}
	return 2
}

// granules is how many granules one MPEG frame holds.
func (h header) granules() int {
	if h.lsf() {
		return 1
	}
	return 2
}

// sideSize is the size of the side information in bytes.
func (h header) sideSize() int {
	switch {
	case h.lsf() && h.mono():
		return 9
	case h.lsf() || h.mono():
		return 17
	default:
		return 32
	}
}

// maxBegin is the largest main_data_begin: how many bytes of main data before
// a frame may belong to it.
func (h header) maxBegin() int {
	if h.lsf() {
		return 1<<8 - 1
	}
	return 1<<9 - 1
}

// mainStart is where the main data begins, in bytes from the frame's start.
func (h header) mainStart() int {
	n := headerSize + h.sideSize()
	if h.crc() {
		n += crcSize
	}
	return n
}

// size is the size of the MPEG frame in bytes, header included.
func (h header) size() int {
	return 72*h.granules()*h.bitrate()/h.rate() + h.padding()
}

// wellFormed reports whether every field of h has a meaning: any layer, free
// format included.
func (h header) wellFormed() bool {
	return h.sync() && h.version() != 1 && h.layer() != 0 && h.bitrateIndex() != 15 &&
		h.rateIndex() != 3 && h&3 != 2
}

// usable reports whether h begins a layer III frame of known size that is long
// enough to hold its own side information.
func (h header) usable() bool {
	return h.wellFormed() && h.layer() == layer3 && h.bitrateIndex() != 0 && h.size() >= h.mainStart()
}

// follows reports whether a frame h may stand in the same stream as ref: same
// version, layer, rate and count of channels.
func (h header) follows(ref header) bool {
	const same = 0xfffe0c00
	return h.usable() && h&same == ref&same && h.mono() == ref.mono()
}

// Errors for streams that are well made but not played.
var (
	errFreeFormat = errors.New("the MP3 is in free format (no stated bit rate), which is not supported: encode it again at a fixed or variable bit rate")
	errNoFrames   = errors.New("no MP3 frames found")
)

// unsupported says why a well-formed h cannot be played, or returns nil.
func (h header) unsupported() error {
	switch {
	case h.layer() != layer3:
		return fmt.Errorf("this is MPEG layer %d, wanted layer 3 (MP3)", 4-h.layer())
	case h.bitrateIndex() == 0:
		return errFreeFormat
	case h.version() == mpeg25 && h.rate() == 8000:
		return errors.New("the MP3 is at 8000 Hz (MPEG-2.5), wanted 11025 Hz or more")
	}
	return nil
}

// versionName is the name of the standard that h follows.
func (h header) versionName() string {
	switch h.version() {
	case mpeg1:
		return "MPEG-1"
	case mpeg2:
		return "MPEG-2"
	default:
		return "MPEG-2.5"
	}
}
