package output

import "drylane/playback/resample"

// A render turns soundtrack frames into device frames, segment by segment. A
// segment is what is written from one hold to the next; its device frames are
// counted in the device's stream from start, its soundtrack frames from base.
//
// Where a segment begins the two rates need not both have a frame: a device that
// ran dry, or a hold that came late, stops anywhere. They both have one at zero, a
// little before: soundtrack frame and device frame; all places are reckoned from
// there, so that not a part of a frame is lost however often it happens.
type render struct {
	rs     *resample.Resampler // nil where the rates are the same
	ratio  resample.Ratio
	length int64 // of a fade, in device frames

	base, written int64 // soundtrack frames: where the segment began, where it is
	start         int64 // device frame of the segment's first
	zero          struct{ base, start int64 }
	faded         bool // the segment began after a hold

	past tape[[2]float64] // soundtrack frames, back to the device's tape
	out  tape[[2]float32] // device frames
	buf  [][2]float64
}

func newRender(rate, device int) (*render, error) {
	rs, ratio, err := converter(rate, device)
	if err != nil {
		return nil, err
	}
	return &render{rs: rs, ratio: ratio, length: frames(fade, device), buf: make([][2]float64, 1024)}, nil
}

// write renders soundtrack frames onto the out tape.
func (r *render) write(frames [][2]float64) {
	r.written += int64(len(frames))
	if r.rs == nil {
		r.emit(frames)
		return
	}
	r.past.add(frames...)
	r.rs.Write(frames)
	for n := -1; n != 0; r.emit(r.buf[:n]) {
		n = r.rs.Read(r.buf)
	}
}

// drain renders the frames that the resampler holds back for want of what
// comes next, as if silence came.
func (r *render) drain() {
	if r.rs == nil {
		return
	}
	for n := -1; n != 0; r.emit(r.buf[:n]) {
		n = r.rs.Drain(r.buf)
	}
}

// drained tells whether all that was written is on the out tape.
func (r *render) drained() bool {
	return r.out.end() >= r.place(r.written)
}

// place is the device frame that comes next once the soundtrack has been played up
// to frame.
func (r *render) place(frame int64) int64 { return r.zero.start + r.ratio.Out(frame-r.zero.base) }

// frame is the soundtrack frame that sounds at device frame pos, as if the segment
// had neither beginning nor end.
func (r *render) frame(pos int64) int64 { return r.zero.base + r.ratio.In(pos-r.zero.start) }

func (r *render) emit(frames [][2]float64) {
	at := r.out.end()
	for _, f := range frames {
		r.out.add([2]float32{float32(f[0]), float32(f[1])})
	}
	if r.faded {
		fadeIn(r.out.slice(at, r.out.end()), at-r.start, r.length)
	}
}

// sound is the count of soundtrack frames heard when device frame pos is next.
func (r *render) sound(pos int64) int64 {
	return min(max(r.frame(pos), r.base), r.written)
}

// stop returns where music that may still be changed from device frame from
// on, and is to go on to soundtrack frame frame at least, can end: the first
// place at least a fade later where both rates have a frame, but no later than
// its own end.
func (r *render) stop(from, frame int64) int64 {
	if from <= r.start && frame <= r.base { // nothing of it has been heard
		return r.start
	}
	blocks := max(0, frame-r.zero.base+r.ratio.M-1) / r.ratio.M
	if from > r.start {
		blocks = max(blocks, (from+r.length-r.zero.start+r.ratio.L-1)/r.ratio.L)
	}
	end := max(r.out.end(), r.place(r.written)) // also before all is drained
	return min(r.zero.start+blocks*r.ratio.L, end)
}

// ending returns the device frames from from up to last as they must sound
// when the music ends at stop: as they are, a fade up to stop, then silence.
func (r *render) ending(from, stop, last int64) [][2]float32 {
	frames := make([][2]float32, last-from)
	copy(frames, r.out.slice(from, stop))
	fadeOut(frames[max(0, stop-r.length-from) : stop-from])
	return frames
}

// move shifts a segment of which nothing has been sent to device frame start.
func (r *render) move(start int64) {
	r.out.first += start - r.start
	r.zero.start += start - r.start
	r.start = start
}

// hold ends the segment before device frame stop and returns the soundtrack
// frame that the next begins with.
func (r *render) hold(stop int64) int64 {
	h := r.written
	if stop < r.place(r.written) {
		h = r.sound(stop)
	}
	r.faded = r.faded || h > r.base
	r.base, r.written, r.start = h, h, stop
	blocks := (stop - r.zero.start) / r.ratio.L
	r.zero.base += blocks * r.ratio.M
	r.zero.start += blocks * r.ratio.L
	r.out.restart(stop)
	if r.rs != nil {
		r.past.cut(h)
		r.rs.ResetAt(r.past.frames, (stop-r.zero.start)*r.ratio.M-(h-r.zero.base)*r.ratio.L)
	}
	return h
}

// resume begins a segment, without a hold, after a gap in the music. All must
// be drained.
func (r *render) resume() {
	r.base, r.start = r.written, r.out.end()
	r.out.restart(r.start)
}

// forget lets go of what no hold can reach any more once all before device
// frame pos has been heard.
func (r *render) forget(pos int64) {
	r.out.forget(pos)
	if r.rs != nil {
		r.past.forget(r.sound(pos) - int64(r.rs.Lead()))
	}
}
