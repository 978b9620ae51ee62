package output

// A timeline tells which music a stream carries where. Between stretches of
// music the stream carries silence.
type timeline struct{ spans []span }

// A span is n frames of music, from music frame from on, at stream frame at.
type span struct{ at, from, n int64 }

// add appends a span, which must not begin before the last ends.
func (t *timeline) add(s span) {
	if s.n == 0 {
		return
	}
	if n := len(t.spans); n > 0 {
		if last := &t.spans[n-1]; last.at+last.n == s.at && last.from+last.n == s.from {
			last.n += s.n
			return
		}
	}
	t.spans = append(t.spans, s)
}

// music is the music frame that comes next at stream frame pos.
func (t *timeline) music(pos int64) int64 {
	for i := len(t.spans) - 1; i >= 0; i-- {
		if s := t.spans[i]; s.at <= pos {
			return s.from + min(pos-s.at, s.n)
		}
	}
	if len(t.spans) > 0 {
		return t.spans[0].from
	}
	return 0
}

// forget drops what no position from pos on asks for.
func (t *timeline) forget(pos int64) {
	old := 0
	for old+1 < len(t.spans) && t.spans[old+1].at <= pos {
		old++
	}
	t.spans = t.spans[:copy(t.spans, t.spans[old:])]
}
