package input

import "sync"

// A ring hands frames from the goroutine that takes them in to the one that reads
// them. What is not read in time is lost, and silence stands in its place, so that
// the count of frames stays true; unless whoever writes waits.
type ring struct {
	mu      sync.Mutex
	room    sync.Cond // something was read, or the ring was ended
	frames  [][2]float64
	written int64
	read    int64
	err     error // after the last frame
	closed  bool
}

func newRing(size int) *ring {
	r := &ring{frames: make([][2]float64, size)}
	r.room.L = &r.mu
	return r
}

// put adds frames and drops the oldest where there is no room.
func (r *ring) put(frames [][2]float64) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.add(frames)
}

// putAll adds frames as there is room for them. ok is false when the ring was closed.
func (r *ring) putAll(frames [][2]float64) (ok bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for len(frames) > 0 && !r.closed {
		free := len(r.frames) - int(r.written-r.read)
		if free == 0 {
			r.room.Wait()
			continue
		}
		n := min(free, len(frames))
		r.add(frames[:n])
		frames = frames[n:]
	}
	return !r.closed
}

func (r *ring) add(frames [][2]float64) {
	for _, f := range frames {
		r.frames[r.written%int64(len(r.frames))] = f
		r.written++
	}
}

// end says that no more frames come, and why.
func (r *ring) end(err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.err == nil {
		r.err = err
	}
}

func (r *ring) close() {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.closed = true
	r.room.Broadcast()
}

// take moves up to len(frames) frames out, or the reason why none will come.
func (r *ring) take(frames [][2]float64) (n int, err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.closed {
		return 0, errClosed
	}
	for n < len(frames) && r.read < r.written {
		frames[n] = [2]float64{}
		if r.written-r.read <= int64(len(r.frames)) {
			frames[n] = r.frames[r.read%int64(len(r.frames))]
		}
		r.read++
		n++
	}
	r.room.Signal()
	if n == 0 && r.read == r.written {
		return 0, r.err
	}
	return n, nil
}
