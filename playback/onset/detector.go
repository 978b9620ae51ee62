package onset

import (
	"math"
	"runtime"
	"slices"
	"sync"

	"drylane/show/timebase"
)

// blockValues is how many values of onset strength are worked out in one go:
// some seconds, so that what a block has to read twice costs little.
const blockValues = 1024

// handful is how many frames are taken at a time: less than a block, and what a
// buffer has room for beyond it.
const handful = 1 << 13

// A Detector takes a soundtrack from its first frame to its last and finds the
// onsets in it, on all cores. It belongs to one goroutine.
type Detector struct {
	layout
	mono   []float64      // frames that a block is still to be made of
	length timebase.Frame // so far

	blocks [][]value // filled by the workers
	next   job       // waits for what comes after it
	last   float64   // how loud its block is
	jobs   chan job
	spare  sync.Pool // of mono
	wait   sync.WaitGroup
	closed bool
}

// A job is a block of values to fill. mono holds the soundtrack from margin frames
// before the middle of the window memory values before the first of out, to margin
// frames after that of the one turnAhead values after the last. from and to are how
// loud the music is around the first value and around the one after the last; see
// loudest.
type job struct {
	mono     []float64
	out      []value
	from, to float64
}

// NewDetector makes a detector for a soundtrack of rate frames a second. Call
// Close when done with it.
func NewDetector(rate int) *Detector {
	d := &Detector{layout: newLayout(max(rate, 1))}
	// Ahead of the first frame there is silence.
	d.mono = make([]float64, memory*d.step()+d.margin())
	d.jobs = make(chan job)
	for range runtime.GOMAXPROCS(0) {
		d.wait.Go(d.work)
	}
	return d
}

func (d *Detector) work() {
	f := newFluxer(d.layout)
	for j := range d.jobs {
		f.fill(j)
		d.spare.Put(&j.mono)
	}
}

// Add takes the next frames. Values that are no number, or far above full
// scale, count as silence.
func (d *Detector) Add(frames [][2]float64) {
	d.length += timebase.Frame(len(frames))
	for chunk := range slices.Chunk(frames, handful) {
		at := len(d.mono)
		d.mono = slices.Grow(d.mono, len(chunk))[:at+len(chunk)]
		to := d.mono[at:]
		for i, f := range chunk {
			v := (f[0] + f[1]) / 2
			if !(math.Abs(v) <= 16) {
				v = 0
			}
			to[i] = v
		}
		if len(d.mono) >= d.need(blockValues) {
			d.block(blockValues)
		}
	}
}

// block makes a job of the next n values, and hands the one before it to a worker:
// how loud the music becomes is known now. What the next block needs again goes
// into another buffer.
func (d *Detector) block(n int) {
	out := make([]value, n)
	d.blocks = append(d.blocks, out)
	whole := d.mono
	next, ok := d.spare.Get().(*[]float64)
	if !ok {
		buffer := make([]float64, 0, d.most())
		next = &buffer
	}
	d.mono = append((*next)[:0], whole[n*d.step():]...)
	loud := d.loudest(whole[memory*d.step()+d.margin():][:n*d.step()])
	from := max(d.last, loud)
	d.hand(from)
	d.next, d.last = job{mono: whole, out: out, from: from}, loud
}

// hand gives the job that waits to a worker.
func (d *Detector) hand(to float64) {
	if d.next.out != nil {
		d.next.to = to
		d.jobs <- d.next
	}
	d.next = job{}
}

// Music ends the soundtrack and returns what was found. Call it once.
func (d *Detector) Music() *Music {
	values := int(d.length)/d.step() + 1
	if rest := values - len(d.blocks)*blockValues; rest > 0 {
		if short := d.need(rest) - len(d.mono); short > 0 {
			d.mono = append(d.mono, make([]float64, short)...)
		}
		d.block(rest)
	}
	d.hand(d.next.from)
	d.Close()
	all := slices.Concat(d.blocks...)
	strength := make([]float32, len(all))
	for i, v := range all {
		strength[i] = v.onset
	}
	m := &Music{Rate: d.rate, Length: d.length}
	m.Accents = d.accents(all, strength, d.length)
	m.Beats, m.Tempo = d.beats(strength, m.Accents, d.length)
	return m
}

// Close stops the workers. A second call is a no-op.
func (d *Detector) Close() {
	if !d.closed {
		d.closed = true
		close(d.jobs)
		d.wait.Wait()
	}
}
