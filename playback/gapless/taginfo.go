package gapless

import (
	"bytes"
	"encoding/binary"
	"strconv"
	"strings"
)

// A streamTag is what the tag frame at the start of a stream says. The tag
// frame holds no sound.
type streamTag struct {
	kind    string // "Xing", "Info", "VBRI", or "" for none
	frames  int64  // MPEG frames of sound, 0 when not said
	bytes   int64  // of the stream, tag frame included; 0 when not said
	encoder string
	method  byte // how the bit rate was chosen, as LAME numbers it; 0 when not said

	hasDelay       bool
	delay, padding int64 // frames of sound added by the encoder
}

// Where things lie in the extension that LAME adds behind the fields of a
// Xing tag (Mp3 Info Tag revision 1 specifications): the encoder string is at
// 0, the method at 9, delay and padding of 12 bits each at 21.
const (
	lameMethod = 9
	lameDelay  = 21
	lameSize   = 24
)

// parseStreamTag reads the tag in the MPEG frame b, which has header h.
func parseStreamTag(h header, b []byte) streamTag {
	// Encoders that add a CRC word do not agree on whether the tag moves
	// behind it.
	for _, at := range []int{headerSize + h.sideSize(), h.mainStart()} {
		if t, ok := parseXing(b, at); ok {
			return t
		}
	}
	if t, ok := parseVBRI(b); ok {
		return t
	}
	return streamTag{}
}

func parseXing(b []byte, at int) (streamTag, bool) {
	if len(b) < at+8 {
		return streamTag{}, false
	}
	t := streamTag{kind: string(b[at : at+4])}
	if t.kind != "Xing" && t.kind != "Info" {
		return streamTag{}, false
	}
	flags := binary.BigEndian.Uint32(b[at+4:])
	rest := b[at+8:]
	take := func(flag uint32, n int) []byte {
		if flags&flag == 0 || len(rest) < n {
			return make([]byte, 4)
		}
		field := rest[:n]
		rest = rest[n:]
		return field
	}
	t.frames = int64(binary.BigEndian.Uint32(take(1, 4)))
	t.bytes = int64(binary.BigEndian.Uint32(take(2, 4)))
	take(4, 100) // the table of contents
	take(8, 4)   // the quality
	t.readLAME(rest)
	return t, true
}

// readLAME reads the extension b. Any encoder may have written it; one that
// names none is taken to be empty.
func (t *streamTag) readLAME(b []byte) {
	if len(b) < lameSize || b[0] < ' ' || b[0] > '~' {
		return
	}
	name, _, _ := bytes.Cut(b[:lameMethod], []byte{0})
	t.encoder = strings.TrimSpace(latin1(name))
	t.method = b[lameMethod] & 15
	d := b[lameDelay:]
	t.delay = int64(d[0])<<4 | int64(d[1])>>4
	t.padding = int64(d[1]&15)<<8 | int64(d[2])
	t.hasDelay = t.delay != 0 || t.padding != 0
}

// parseVBRI reads the tag that some encoders put 32 bytes behind the header:
// id, version, delay and quality of two bytes, then counts of bytes and frames.
func parseVBRI(b []byte) (streamTag, bool) {
	const at = headerSize + 32
	if len(b) < at+18 || string(b[at:at+4]) != "VBRI" {
		return streamTag{}, false
	}
	return streamTag{
		kind:   "VBRI",
		bytes:  int64(binary.BigEndian.Uint32(b[at+10:])),
		frames: int64(binary.BigEndian.Uint32(b[at+14:])),
	}, true
}

// parseSMPB reads the text of an iTunSMPB comment: hexadecimal words of which
// the second is the delay, the third the padding and the fourth the count of
// frames of music (from memory).
func parseSMPB(s string) (delay, padding, music int64, ok bool) {
	words := strings.Fields(s)
	if len(words) < 4 {
		return 0, 0, 0, false
	}
	var v [3]int64
	for i := range v {
		n, err := strconv.ParseUint(words[i+1], 16, 40)
		if err != nil {
			return 0, 0, 0, false
		}
		v[i] = int64(n)
	}
	if v[0] > 0xffff || v[1] > 0xffff || v[2] == 0 {
		return 0, 0, 0, false
	}
	return v[0], v[1], v[2], true
}
