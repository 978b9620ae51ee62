package gapless

import "fmt"

// trusted reports whether the frame at s.pos with header h is as long as it
// says: the next one stands where it ends, or at least none stands inside it.
// A bit rate other than that of a stream of constant bit rate is held against
// it.
func (s *scan) trusted(h header) (bool, error) {
	next := s.pos + int64(h.size())
	followed, err := s.frameOrTag(next)
	if err != nil {
		return false, err
	}
	odd := s.constant() && h.bitrate() != s.bitrate
	if odd == !followed {
		return followed, nil
	}
	if !odd && s.constant() {
		return true, nil
	}
	inside, err := s.find(s.pos+headerSize, next)
	return inside < 0, err
}

// constant reports whether the stream has a constant bit rate, as far as it
// is known.
func (s *scan) constant() bool {
	const enough = 8
	return s.bitrate > 0 && (s.tag.kind == "Info" || len(s.entries) >= enough)
}

// frameOrTag reports whether a frame or a tag begins at pos, or the stream ends.
func (s *scan) frameOrTag(pos int64) (bool, error) {
	if pos == s.end {
		return true, nil
	}
	h, err := s.w.header(pos)
	if err != nil || h.follows(s.ref) {
		return true, err
	}
	n, err := tagAt(s.w, pos, s.end)
	return n > 0, err
}

// find returns where the first believable frame in [from, to) begins, -1 if
// there is none.
func (s *scan) find(from, to int64) (int64, error) {
	for from < to {
		pos, h, err := s.nextHeader(from, to)
		if err != nil || h == 0 {
			return -1, err
		}
		if h.follows(s.ref) {
			if ok, err := s.chain(pos, h, resyncChain); ok || err != nil {
				return pos, err
			}
		} else if ok, err := s.chain(pos, h, changeChain); ok || err != nil {
			return -1, s.changed(pos, h, err)
		}
		from = pos + 1
	}
	return -1, nil
}

// changed is the error for a stream that goes on in another format.
func (s *scan) changed(pos int64, h header, err error) error {
	if err != nil {
		return err
	}
	at := float64(int64(len(s.entries))*s.perFrame()) / float64(s.ref.rate())
	return fmt.Errorf("the MP3 changes from %s to %s about %.1f s in (byte %d): one soundtrack must have one format",
		s.ref.format(), h.format(), at, pos)
}

// format names what all frames of a stream have in common.
func (h header) format() string {
	kind := "stereo"
	if h.mono() {
		kind = "mono"
	}
	return fmt.Sprintf("%s %d Hz %s", h.versionName(), h.rate(), kind)
}

// resync finds the next frame when none that can be believed stands at s.pos;
// h is what stands there instead.
func (s *scan) resync(h header) error {
	after, err := skipHead(s.w, s.pos, s.end)
	if err != nil {
		return err
	}
	if after > s.pos { // a tag between two frames takes no time
		s.pos = after
		return nil
	}
	from := s.pos
	if h.follows(s.ref) { // it does, but was not believed
		from++
	}
	next, err := s.find(from, s.end)
	if err != nil {
		return err
	}
	if next < 0 {
		s.tail(h)
		s.pos = s.end
		return nil
	}
	s.gaps = append(s.gaps, gap{entry: len(s.entries), off: s.pos, bytes: next - s.pos,
		why: fmt.Sprintf("%d bytes that are no MP3 frame", next-s.pos)})
	s.avail = 0
	s.pos = next
	return nil
}

// tail notes what stands behind the last whole frame.
func (s *scan) tail(h header) {
	reason := fmt.Sprintf("%d bytes behind the last frame", s.end-s.pos)
	s.cut = true
	if h.follows(s.ref) && s.pos+int64(h.size()) > s.end {
		reason = "the file ends inside a frame"
	}
	s.repairs = append(s.repairs, repair{off: s.pos, first: len(s.entries), reason: reason})
}
