package gapless

import (
	"encoding/binary"
	"fmt"
	"io"
)

// A feed turns the entries of an index into MPEG frames for the decoder.
//
// The frames are laid out anew: every one is as long as a frame can be, its
// own main data stands in it from the start, and only what does not fit (the
// entry's lead) stands at the end of the frame before. That does three things.
// The decoder can begin at any frame without the ones that held its bit
// reservoir. Its arithmetic for the size of MPEG-2 frames, which loses a byte
// on some padded ones, is never met. And what the decoder sees for a frame
// depends on the source alone, not on where decoding began, so that even a
// damaged frame sounds the same after any seek.
//
// The room is enough for every frame of a stream that keeps to its bit rate,
// but for one case: the decoder's largest frame at 22.05 kHz is half a byte
// shorter than the mean frame at 160 kbit/s. There a frame may lose its last
// bytes (the highest frequencies of its last granule).
type feed struct {
	ix   *index
	w    *window
	next int    // the entry that comes next
	main []byte // the end of the main data of the frames read so far
	held int    // how many bytes of main belong to frames before the last
	buf  [maxFeedSize]byte
	cur  piece // the entry last made
	peek piece // the entry behind it, if it had to be loaded for its lead
}

// A piece is what a frame of the source gives: its side information and main
// data. Data is empty for silence.
type piece struct {
	entry int // -1: none
	head  header
	side  [32]byte
	data  []byte
}

// feedBuffer is how much of the source a feed reads at a time, in bytes.
const feedBuffer = 64 << 10

func newFeed(ix *index, rs io.ReadSeeker) *feed {
	return &feed{ix: ix, w: newWindow(rs, feedBuffer, 0)}
}

// maxFeedSize is the longest frame made: 320 kbit/s at 32 kHz, in bytes.
const maxFeedSize = 1441

// feedHeader is the header of a frame laid out by a feed: the longest there
// is, with no check word, otherwise as h. MPEG-2.5 at 11 and 12 kHz becomes
// MPEG-2 at 16 kHz, which has the same scale factor bands and which the
// decoder knows.
func feedHeader(h header) header {
	h = h&^0xf000&^3 | 14<<12 | 1<<16 | 1<<9
	if h.version() == mpeg25 {
		h = h&^(3<<19)&^(3<<10) | mpeg2<<19 | 2<<10
	}
	return h
}

// feedSize is the size of that frame as the decoder reckons it.
func feedSize(h header) int {
	f := feedHeader(h)
	size := 144*f.bitrate()/f.rate() + 1
	if f.lsf() {
		size /= 2
	}
	return size
}

// feedRoom is how much main data it holds, in bytes.
func feedRoom(h header) int {
	return feedSize(h) - headerSize - h.sideSize()
}

// seek makes entry k the next one. It reads as far back as main data of k can
// reach.
func (f *feed) seek(k int) error {
	f.next, f.main = k, f.main[:0]
	f.cur.entry, f.peek.entry = -1, -1
	from := k
	for need := f.ix.ref.maxBegin(); need > 0 && from > 0; {
		from--
		if size := int(f.ix.entries[from].size); size > 0 {
			need -= max(0, size-f.ix.ref.mainStart()-crcSize)
		}
	}
	for ; from < k; from++ {
		if _, err := f.take(from); err != nil {
			return err
		}
	}
	return nil
}

// load reads entry i, which must be the one behind the entry loaded last, and
// cuts its piece out.
func (f *feed) load(i int, p *piece) error {
	*p = piece{entry: i, head: f.ix.ref, data: p.data[:0]}
	b, err := f.take(i)
	if err != nil || f.ix.entries[i].data == silent {
		return err
	}
	h := readHeader(b)
	p.head = h
	copy(p.side[:], b[h.mainStart()-h.sideSize():h.mainStart()])
	side, _ := parseSide(h, p.side[:])
	if side.size() != int(f.ix.entries[i].data) || side.begin > f.held || side.data > side.begin+len(b)-h.mainStart() {
		return fmt.Errorf("the file changed while it was read: the frame at byte %d is another", f.ix.entries[i].off)
	}
	from := f.held - side.begin
	p.data = side.grown(p.data, f.main[from:from+side.data], p.side[:])
	return nil
}

// take reads the frame of entry i, nil if it is not in the source, and puts its
// main data behind what f holds of the frames before.
func (f *feed) take(i int) ([]byte, error) {
	e := f.ix.entries[i]
	if e.size == 0 {
		return nil, nil
	}
	b, err := f.w.at(int64(e.off), int(e.size))
	if err != nil {
		return nil, err
	}
	if len(b) < int(e.size) || !readHeader(b).follows(f.ix.ref) || readHeader(b).size() != len(b) {
		return nil, fmt.Errorf("the file changed while it was read: no MP3 frame at byte %d any more", e.off)
	}
	f.held = min(len(f.main), f.ix.ref.maxBegin())
	f.main = append(f.main[:0], f.main[len(f.main)-f.held:]...)
	f.main = append(f.main, b[readHeader(b).mainStart():]...)
	return b, nil
}

// leadIn makes a silent frame that carries the lead of the next entry.
func (f *feed) leadIn() ([]byte, error) {
	if err := f.load(f.next, &f.peek); err != nil {
		return nil, err
	}
	return f.build(&piece{head: f.ix.ref}, 0), nil
}

// frame makes the frame of the next entry, as silence if mute is set, and
// goes on to the entry behind it.
func (f *feed) frame(mute bool) ([]byte, error) {
	f.cur, f.peek = f.peek, f.cur
	if f.cur.entry != f.next {
		if err := f.load(f.next, &f.cur); err != nil {
			return nil, err
		}
	}
	f.peek.entry = -1
	lead := int(f.ix.entries[f.next].lead)
	f.next++
	if f.next < len(f.ix.entries) && f.ix.entries[f.next].lead > 0 {
		if err := f.load(f.next, &f.peek); err != nil {
			return nil, err
		}
	}
	if mute {
		return f.build(&piece{head: f.cur.head}, 0), nil
	}
	return f.build(&f.cur, lead), nil
}

// build lays out p, of whose data lead bytes stand in the frame before, and at
// its end the lead of the entry in peek.
func (f *feed) build(p *piece, lead int) []byte {
	h := feedHeader(p.head)
	size, main := feedSize(p.head), headerSize+p.head.sideSize()
	clear(f.buf[:size])
	b := f.buf[:size]
	binary.BigEndian.PutUint32(b, uint32(h))
	room := b[main:]
	if f.peek.entry >= 0 && f.peek.entry == f.next {
		n := int(f.ix.entries[f.next].lead)
		copy(room[len(room)-n:], f.peek.data)
		room = room[:len(room)-n]
	}
	if len(p.data) > 0 {
		side := b[headerSize:main]
		copy(side, p.side[:])
		putBegin(h, side, lead)
		copy(room, p.data[lead:])
	}
	return b
}
