package output

// A tape holds the newest frames of a stream by their position in it.
type tape[T any] struct {
	first  int64 // position of frames[0]
	frames []T
}

// end is the position after the last frame.
func (t *tape[T]) end() int64 { return t.first + int64(len(t.frames)) }

func (t *tape[T]) add(frames ...T) { t.frames = append(t.frames, frames...) }

// slice returns the frames from position from up to to, which must be held.
func (t *tape[T]) slice(from, to int64) []T {
	return t.frames[from-t.first : to-t.first]
}

// forget drops the frames before position to.
func (t *tape[T]) forget(to int64) {
	drop := min(to, t.end()) - t.first
	if drop <= 0 {
		return
	}
	t.frames = t.frames[:copy(t.frames, t.frames[drop:])]
	t.first += drop
}

// cut drops the frames from position from on.
func (t *tape[T]) cut(from int64) {
	t.frames = t.frames[:max(0, min(from-t.first, int64(len(t.frames))))]
}

// restart empties the tape; the next frame added is at position first.
func (t *tape[T]) restart(first int64) {
	t.first, t.frames = first, t.frames[:0]
}
