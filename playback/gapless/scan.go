package gapless

import (
	"bytes"
	"cmp"
)

// A scan walks over the MPEG frames of a source and fills an index.
type scan struct {
	*index
	w       *window
	pos     int64
	end     int64
	avail   int // bytes of main data known before pos, as far as they can be used
	bitrate int // of every frame so far, -1 when they differ
	gaps    []gap
	cut     bool // the source ends inside a frame, or in junk
}

// A gap is a stretch of the source that holds no readable frame.
type gap struct {
	entry int // the entry that follows it
	off   int64
	bytes int64
	why   string
}

const (
	// firstChain is how many frames must follow each other for the first to
	// be believed, resyncChain the same after a damaged place.
	firstChain  = 4
	resyncChain = 2
	// changeChain is how many frames of another kind in a row are a change of
	// the stream's format rather than chance.
	changeChain = 8
	// maxJunk is how far behind the tags the first frame is searched for.
	maxJunk = 4 << 20
)

// first finds the first frame at or after off and reads its tag.
func (s *scan) first(off int64) error {
	pos, h, err := s.findFirst(off)
	if err != nil {
		return err
	}
	if err := h.unsupported(); err != nil {
		return err
	}
	b, err := s.w.at(pos, h.size())
	if err != nil || len(b) < h.size() {
		return cmp.Or(err, errNoFrames)
	}
	s.ref, s.start, s.pos = h, pos, pos
	if s.tag = parseStreamTag(h, b); s.tag.kind != "" {
		s.pos += int64(h.size())
	}
	return nil
}

func (s *scan) findFirst(off int64) (int64, header, error) {
	end := min(s.end, off+maxJunk)
	for pos := off; pos < end; pos++ {
		var h header
		var err error
		if pos, h, err = s.nextHeader(pos, end); err != nil {
			return 0, 0, err
		}
		if h == 0 {
			break
		}
		if ok, err := s.chain(pos, h, firstChain); ok || err != nil {
			return pos, h, err
		}
		// A tag frame is believed even if what follows is damaged.
		if b, err := s.w.at(pos, h.size()); err != nil || parseStreamTag(h, b).kind != "" {
			return pos, h, err
		}
	}
	// Say why, if the stream begins with a frame of another kind.
	h, err := s.w.header(off)
	if err == nil && h.wellFormed() {
		err = h.unsupported()
	}
	if err == nil {
		err = errNoFrames
	}
	return 0, 0, err
}

// nextHeader returns the first usable header in [pos, end), 0 if there is none.
func (s *scan) nextHeader(pos, end int64) (int64, header, error) {
	const look = 4096
	for pos < end {
		b, err := s.w.at(pos, look)
		if err != nil || len(b) < headerSize {
			return pos, 0, err
		}
		i := bytes.IndexByte(b[:len(b)-headerSize+1], 0xff)
		if i < 0 {
			i = len(b) - headerSize + 1
			s.w.work += int64(i)
			pos += int64(i)
			continue
		}
		s.w.work += int64(i)
		pos += int64(i)
		if h := readHeader(b[i:]); h.usable() && pos < end {
			return pos, h, nil
		}
		pos++
	}
	return pos, 0, nil
}

// chain reports whether n frames of one kind follow each other from pos on, or
// as many as there are up to the exact end of the stream. Two are enough at
// the start of a stream that breaks off.
func (s *scan) chain(pos int64, h header, n int) (bool, error) {
	for i := range n {
		pos += int64(h.size())
		if pos == s.end || i == n-1 && pos < s.end {
			return true, nil
		}
		if pos > s.end {
			return i > 0 && n == firstChain, nil
		}
		next, err := s.w.header(pos)
		if err != nil || !next.follows(h) {
			return false, err
		}
		h = next
	}
	return false, nil
}

// run reads the frames from s.pos to the end.
func (s *scan) run() error {
	for s.pos < s.end {
		h, err := s.w.header(s.pos)
		if err != nil {
			return err
		}
		trust := false
		if h.follows(s.ref) && s.pos+int64(h.size()) <= s.end {
			if trust, err = s.trusted(h); err != nil {
				return err
			}
		}
		if trust {
			err = s.add(h)
		} else {
			err = s.resync(h)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// add takes the frame at s.pos into the index.
func (s *scan) add(h header) error {
	b, err := s.w.at(s.pos, h.mainStart())
	if err != nil {
		return err
	}
	size := h.size()
	e := entry{off: uint32(s.pos), size: uint16(size), data: silent}
	room := size - h.mainStart()
	side, ok := parseSide(h, b[h.mainStart()-h.sideSize():])
	switch {
	case !ok || side.data > side.begin+room:
		s.damaged("the frame's own description is damaged")
	case side.begin > s.avail && side.data > 0:
		s.damaged("the frame needs data that lies before it and is not there")
	default:
		e.data = uint16(side.size())
	}
	switch {
	case s.bitrate == 0:
		s.bitrate = h.bitrate()
	case s.bitrate != h.bitrate():
		s.bitrate = -1
	}
	s.intensity = s.intensity || h.intensity()
	s.avail = min(s.avail+room, h.maxBegin())
	s.bytes += int64(size)
	s.entries = append(s.entries, e)
	s.pos += int64(size)
	return nil
}

// damaged notes that the frame at s.pos is played as silence.
func (s *scan) damaged(reason string) {
	s.repairs = append(s.repairs, repair{off: s.pos, first: len(s.entries), n: 1, reason: reason})
}
