package gapless

import "slices"

// mend puts silent entries into the gaps, as many as keep the frames behind
// them in their place.
//
// How many frames a gap has swallowed is told by its length, if the bytes were
// overwritten, and by the tag's count of frames, if they were removed. The
// count covers the whole stream, so it settles the matter only when the end of
// the stream is there.
func (s *scan) mend() {
	lost := s.lost()
	if len(lost) == 0 {
		return
	}
	out := make([]entry, 0, len(s.entries))
	from := 0
	for i, g := range s.gaps {
		out = append(out, s.entries[from:g.entry]...)
		s.shift(len(out), lost[i], g)
		out = append(out, slices.Repeat([]entry{{off: uint32(g.off), data: silent}}, lost[i])...)
		from = g.entry
	}
	s.entries = append(out, s.entries[from:]...)
	slices.SortStableFunc(s.repairs, func(a, b repair) int { return a.first - b.first })
}

// shift moves the repairs at or behind entry at by n and notes gap g there.
func (s *scan) shift(at, n int, g gap) {
	for i := range s.repairs {
		if r := &s.repairs[i]; r.off > g.off {
			r.first += n
		}
	}
	s.repairs = append(s.repairs, repair{off: g.off, first: at, n: n, reason: g.why})
}

// lost returns how many frames each gap has swallowed.
func (s *scan) lost() []int {
	var total, guess int64
	mean := max(1, s.bytes/max(1, int64(len(s.entries))))
	for _, g := range s.gaps {
		total += g.bytes
		guess += (g.bytes + mean/2) / mean
	}
	want := guess
	if promised := s.tag.frames; promised > 0 {
		found := int64(len(s.entries))
		short := max(0, promised-found)
		switch {
		case s.cut:
			want = min(guess, short)
		case short <= found+guess:
			want = short
		}
	}
	return share(s.gaps, want, total)
}

// share deals n frames out to gaps in proportion to their bytes, total in all.
func share(gaps []gap, n, total int64) []int {
	out := make([]int, len(gaps))
	var bytes, dealt int64
	for i, g := range gaps {
		bytes += g.bytes
		upTo := (n*bytes + total/2) / total
		out[i] = int(upTo - dealt)
		dealt = upTo
	}
	return out
}
