package playback

import (
	"errors"
	"io"
	"slices"

	"github.com/mewkiz/flac/frame"
)

// parseFLACBlock decodes the block that r is about to deliver; head is a
// preview of its header. bits stands in where the block leaves its sample size
// to the stream info, which mewkiz/flac takes for 0.
func parseFLACBlock(r io.Reader, head []byte, bits int) (*frame.Frame, error) {
	var quiet *flacQuiet
	if head[2]&0x0F == 7 {
		quiet = newFLACQuiet(r, head)
		r = quiet
	}
	f, err := frame.New(r)
	if err != nil {
		return nil, err
	}
	if f.BitsPerSample == 0 {
		f.BitsPerSample = uint8(bits)
	}
	err = f.Parse()
	if err != nil && quiet.intact(f) {
		err = nil
	}
	if err == nil && f.BlockSize == 0 {
		err = errors.New("it is empty")
	}
	return f, err
}

// A flacQuiet hands on a block of a 24 kHz stream with the rate left out of
// its header, since mewkiz/flac prints a line to the log for each block of
// that rate, across the shooter's screen. This breaks the block's closing
// checksum, which is therefore computed here, over the real bytes.
type flacQuiet struct {
	r    io.Reader
	head []byte // what is left of the changed header
	crc  uint16
}

func newFLACQuiet(r io.Reader, head []byte) *flacQuiet {
	n := flacHeaderLen(head)
	changed := slices.Clone(head[:n])
	changed[2] &= 0xF0
	if crc8(head[:n-1]) == head[n-1] { // else leave it to be found damaged
		changed[n-1] = crc8(changed[:n-1])
	}
	return &flacQuiet{r: r, head: changed}
}

// flacHeaderLen is the length of a header whose rate is not at its end: four
// bytes, the number in as many as its first byte says, the size, the checksum.
func flacHeaderLen(head []byte) int {
	n := 4 + 1
	for b := head[4]; b&0xC0 == 0xC0; b <<= 1 {
		n++
	}
	switch head[2] >> 4 {
	case 6:
		n++
	case 7:
		n += 2
	}
	return min(n+1, len(head))
}

func (q *flacQuiet) Read(p []byte) (int, error) {
	if len(q.head) > 0 {
		p = p[:min(len(p), len(q.head))]
	}
	n, err := q.r.Read(p)
	for _, b := range p[:n] {
		q.crc = q.crc<<8 ^ flacCRC16[byte(q.crc>>8)^b]
	}
	if len(q.head) > 0 {
		copy(p[:n], q.head)
		q.head = q.head[n:]
	}
	return n, err
}

// intact reports whether all of f was decoded and the real bytes, closing
// checksum included, leave a remainder of 0.
func (q *flacQuiet) intact(f *frame.Frame) bool {
	if q == nil || q.crc != 0 || len(f.Subframes) == 0 {
		return false
	}
	for _, s := range f.Subframes {
		if s == nil || len(s.Samples) != int(f.BlockSize) {
			return false
		}
	}
	return true
}

// crc8 is the checksum of a block header (RFC 9639, section 9.1.8).
func crc8(b []byte) (crc byte) {
	for _, v := range b {
		crc = flacCRC8[crc^v]
	}
	return crc
}

// flacCRC8 is its table: x^8 + x^2 + x + 1.
var flacCRC8 = crcTable[uint8](8, 0x07)

// flacCRC16 is the table of the closing checksum: x^16 + x^15 + x^2 + 1
// (RFC 9639, section 9.3).
var flacCRC16 = crcTable[uint16](16, 0x8005)
