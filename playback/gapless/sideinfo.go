package gapless

// A sideInfo is what is needed of a frame's side information (ISO/IEC 11172-3,
// 2.4.1.7): where its main data lies.
type sideInfo struct {
	begin int // bytes of main data before this frame's own that belong to it
	data  int // bytes of main data that the frame uses, from begin on

	// parts are the granules of each channel, in the order of the stream.
	parts [4]part
	n     int // how many there are
}

// A part is one granule of one channel.
type part struct {
	pos  int // of its description, in bits of the side information
	bits int // of its main data
	grow int // bits that must follow its main data: see grown
}

// maxBigValues is half the lines of a granule: no more pairs can be coded.
const maxBigValues = granuleSize / 2

// A layout gives the places of fields in the description of a part, in bits
// from its start, and its length. The lengths of the fields are those of
// part2_3_length 12, big_values 9, block_type 2, count1table_select 1.
type layout struct{ big, switched, blockType, table, len int }

var (
	layout1 = layout{12, 33, 34, 58, 59} // MPEG-1
	layout2 = layout{12, 38, 39, 62, 63} // MPEG-2: scalefac_compress has 9 bits, not 4; no preflag
)

// parseSide reads the side information of a frame with header h. It is false
// when the frame cannot be decoded.
func parseSide(h header, side []byte) (sideInfo, bool) {
	ch := h.channels()
	s := sideInfo{n: h.granules() * ch}
	pos, lay := 0, layout1
	if h.lsf() {
		s.begin = bitsAt(side, 0, 8)
		pos, lay = 8+ch, layout2
	} else {
		s.begin = bitsAt(side, 0, 9)
		private := 7 - 2*ch // 5 bits in mono, 3 in stereo
		pos = 9 + private + 4*ch
	}
	bits, ok := 0, true
	for i := range s.n {
		s.parts[i] = part{pos: pos, bits: bitsAt(side, pos, 12)}
		bits += s.parts[i].bits
		ok = ok && bitsAt(side, pos+lay.big, 9) <= maxBigValues
		pos += lay.len
	}
	s.data = (bits + 7) / 8
	if ok && h.midSide() {
		for i := 0; i < s.n; i += 2 {
			grow(h, lay, side, s.parts[i:i+2])
		}
	}
	return s, ok
}

// grow decides what must follow the main data of a granule, given as its two
// channels' parts, for the decoder to undo mid/side stereo in all of it.
//
// The decoder stops at the last coded line of the channel that has more of
// them. But it has sorted the lines of short blocks by then, so that some lie
// above that one. It reaches them all when one channel's code goes on to line
// 576 with quadruples of zeros, which change nothing else. How many are coded
// already is not known without decoding; what is too many is left unread.
func grow(h header, lay layout, side []byte, pair []part) {
	short, best := false, -1
	for c := range pair {
		p := &pair[c]
		short = short || bitsAt(side, p.pos+lay.switched, 1) == 1 && bitsAt(side, p.pos+lay.blockType, 2) == 2
		n := (granuleSize - 2*bitsAt(side, p.pos+lay.big, 9) + 3) / 4
		// Four zeros are coded as 1 in the first table and as 1111 in the second.
		if bitsAt(side, p.pos+lay.table, 1) == 1 {
			n *= 4
		}
		fits := p.bits > 0 && p.bits+n < 1<<12
		// With intensity stereo the second channel's last line means something.
		if fits && (best < 0 || n < pair[best].grow && !h.intensity()) && !(c == 1 && h.intensity()) {
			best = c
		}
		p.grow = n
	}
	for c := range pair {
		if !short || c != best {
			pair[c].grow = 0
		}
	}
}

// size is the length in bytes of what grown makes of the main data.
func (s *sideInfo) size() int {
	bits := 0
	for _, p := range s.parts[:s.n] {
		bits += p.bits + p.grow
	}
	return (bits + 7) / 8
}

// grown appends the frame's main data to dst with the bits put in that grow
// asks for, and corrects the lengths in side.
func (s *sideInfo) grown(dst, data, side []byte) []byte {
	if s.size() == s.data {
		return append(dst, data...)
	}
	base := len(dst)
	dst = append(dst, make([]byte, s.size())...)
	to, from := 8*base, 0
	put := func(v, n int) {
		putBits(dst, to, n, v)
		to += n
	}
	for _, p := range s.parts[:s.n] {
		for left := p.bits; left > 0; {
			n := min(left, 8)
			put(bitsAt(data, from, n), n)
			from, left = from+n, left-n
		}
		for left := p.grow; left > 0; {
			n := min(left, 8)
			put(1<<n-1, n)
			left -= n
		}
		putBits(side, p.pos, 12, p.bits+p.grow)
	}
	return dst
}

// putBegin writes main_data_begin into side.
func putBegin(h header, side []byte, begin int) {
	if h.lsf() {
		putBits(side, 0, 8, begin)
	} else {
		putBits(side, 0, 9, begin)
	}
}

// bitsAt reads n bits, at most 16, of b from bit pos on, first bit highest.
func bitsAt(b []byte, pos, n int) int {
	v := 0
	for i := pos / 8; i <= (pos+n-1)/8; i++ {
		v = v<<8 | int(b[i])
	}
	spare := 7 - (pos+n-1)%8
	return v >> spare & (1<<n - 1)
}

// putBits writes the n low bits of v, at most 16, into b from bit pos on.
func putBits(b []byte, pos, n, v int) {
	spare := 7 - (pos+n-1)%8
	mask := (1<<n - 1) << spare
	v = v << spare & mask
	for i := (pos + n - 1) / 8; i >= pos/8; i-- {
		b[i] = b[i]&^byte(mask) | byte(v)
		mask, v = mask>>8, v>>8
	}
}
