package resample

import "math"

// phases is how many places between two input frames the table of a Varying has.
// Between two of them it goes straight, which is off by the second difference of the
// filter there: (pi/phases)^2/8 of what is at the Nyquist frequency, -94 dB.
const phases = 256

// A Varying reads a stream at a pace that may differ from its own by parts in a
// million, and differently from one frame to the next: it makes up for two clocks that
// run apart. Frames that lie on those of the stream, at its own pace, come out as they
// are. It belongs to one goroutine.
type Varying struct {
	read  func(into [][2]float64, from int64)
	taps  []float64
	half  int
	hist  [][2]float64 // input frames from first on
	first int64
	at    int64   // the next output frame lies at input time at + part
	part  float64 // 0 to 1
}

// NewVarying returns a Varying of a stream: read fills into with its frames from one
// on, which may lie before its beginning or after its end.
func NewVarying(read func(into [][2]float64, from int64)) *Varying {
	half := halfLength(1)
	taps := polyphase(phases, half, 1)
	// The place after the last is the first one, a frame on.
	end := append([]float64{0}, taps[:2*half-1]...)
	return &Varying{read: read, half: half, taps: append(taps, end...)}
}

// MoveTo makes the next output frame lie at input time at + part, part from 0 to 1.
func (v *Varying) MoveTo(at int64, part float64) {
	v.at, v.part, v.hist, v.first = at, part, v.hist[:0], at-int64(v.half-1)
}

// At is where the next output frame lies, in input frames.
func (v *Varying) At() (at int64, part float64) { return v.at, v.part }

// Read fills dst, pace input frames for each of its own.
func (v *Varying) Read(dst [][2]float64, pace float64) {
	v.fetch(v.at + int64(math.Ceil(pace*float64(len(dst))+v.part)) + int64(v.half) + 1)
	for i := range dst {
		dst[i] = v.frame()
		v.part += pace
		whole := math.Floor(v.part)
		v.at, v.part = v.at+int64(whole), v.part-whole
	}
}

// fetch has the input frames up to end, and lets go of those that are done with.
func (v *Varying) fetch(end int64) {
	if drop := min(v.at-int64(v.half-1)-v.first, int64(len(v.hist))); drop > 0 {
		v.hist = v.hist[:copy(v.hist, v.hist[drop:])]
		v.first += drop
	}
	have := v.first + int64(len(v.hist))
	if end <= have {
		return
	}
	n := len(v.hist)
	v.hist = append(v.hist, make([][2]float64, end-have)...)
	v.read(v.hist[n:], have)
}

// frame is the frame at the place where v is.
func (v *Varying) frame() [2]float64 {
	if v.part == 0 {
		return v.hist[v.at-v.first]
	}
	width := 2 * v.half
	x := v.hist[v.at-int64(v.half-1)-v.first:][:width]
	place := v.part * phases
	p := min(int(place), phases-1)
	a, b := dot(v.taps[width*p:][:width], x), dot(v.taps[width*(p+1):][:width], x)
	share := place - float64(p)
	return [2]float64{a[0] + share*(b[0]-a[0]), a[1] + share*(b[1]-a[1])}
}
