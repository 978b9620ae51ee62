package playback

import (
	"context"
	"fmt"
	"math"
	"sync/atomic"

	"drylane/show/timebase"

	"github.com/faiface/beep"
)

// An Overview holds the loudness of a whole soundtrack at 200 columns a second,
// for drawing at any zoom. One goroutine builds it; any number may read it
// meanwhile. Half an hour takes 4 MB; a soundtrack above an hour gets fewer
// columns a second instead of more memory.
type Overview struct {
	rate   int
	length timebase.Frame
	bucket timebase.Frame // frames a column of the finest level
	levels [][]overviewColumn
	sums   []overviewSum  // of the unfinished column of each level; builder only
	added  timebase.Frame // builder only
	built  atomic.Int64   // frames that may be read
}

const (
	columnsASecond = 200
	maxColumns     = 3600 * columnsASecond
	levelStep      = 4 // columns of one level in one of the next
	columnScale    = 1<<15 - 1
)

// An overviewColumn stores values from 0 to 2, in steps of 1/columnScale: a
// file of floats may go past full scale.
type overviewColumn struct{ peak, rms [2]uint16 }

// An overviewSum is what a column is made of.
type overviewSum struct {
	peak, power [2]float64
	frames      timebase.Frame
}

// NewOverview makes an empty overview of a soundtrack of length frames.
func NewOverview(rate int, length timebase.Frame) *Overview {
	o := &Overview{rate: rate, length: max(length, 0)}
	o.bucket = max(timebase.Frame(rate/columnsASecond), (o.length+maxColumns-1)/maxColumns, 1)
	for n := ceilDiv(o.length, o.bucket); ; n = ceilDiv(n, levelStep) {
		o.levels = append(o.levels, make([]overviewColumn, n))
		if n <= 1 {
			break
		}
	}
	o.sums = make([]overviewSum, len(o.levels))
	return o
}

func ceilDiv(a, b timebase.Frame) timebase.Frame { return (a + b - 1) / b }

// Rate is the soundtrack's, in frames a second.
func (o *Overview) Rate() int { return o.rate }

// Len is the length of the soundtrack, and Built how much of it the overview
// covers by now. Both are safe to call from any goroutine.
func (o *Overview) Len() timebase.Frame   { return o.length }
func (o *Overview) Built() timebase.Frame { return timebase.Frame(o.built.Load()) }

// Build fills the overview from s, which nobody else may use, from its start.
// It returns early with the error of s or of ctx.
func (o *Overview) Build(ctx context.Context, s beep.StreamSeeker) error {
	if err := s.Seek(0); err != nil {
		return err
	}
	buf := make([][2]float64, 4096)
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		n, ok := s.Stream(buf)
		o.Add(buf[:n])
		if ok {
			continue
		}
		if err := s.Err(); err != nil {
			return err
		}
		if o.added < o.length {
			return fmt.Errorf("the soundtrack ended after %d of %d frames", o.added, o.length)
		}
		return nil
	}
}

// Add appends the next frames; what goes past the length is left out. It is
// for a builder that has the frames already; use either Add or Build.
func (o *Overview) Add(frames [][2]float64) {
	for _, f := range frames[:min(timebase.Frame(len(frames)), o.length-o.added)] {
		s := &o.sums[0]
		for c, v := range f {
			s.peak[c] = max(s.peak[c], math.Abs(v))
			s.power[c] += v * v
		}
		s.frames++
		o.added++
		if s.frames == o.bucket || o.added == o.length {
			o.close(0)
			o.built.Store(int64(o.added))
		}
	}
}

// close stores the column that level has summed up, and passes it on to the
// level above.
func (o *Overview) close(level int) {
	s := &o.sums[level]
	o.levels[level][(o.added-1)/o.span(level)] = s.column()
	if level+1 < len(o.levels) {
		up := &o.sums[level+1]
		for c := range 2 {
			up.peak[c] = max(up.peak[c], s.peak[c])
			up.power[c] += s.power[c]
		}
		up.frames += s.frames
		if up.frames == o.span(level+1) || o.added == o.length {
			o.close(level + 1)
		}
	}
	*s = overviewSum{}
}

// span is how many frames a column of level covers.
func (o *Overview) span(level int) timebase.Frame { return o.bucket << (2 * level) }

func (s *overviewSum) column() (col overviewColumn) {
	for c := range 2 {
		col.peak[c] = columnValue(s.peak[c])
		col.rms[c] = columnValue(math.Sqrt(s.power[c] / float64(s.frames)))
	}
	return col
}

func columnValue(v float64) uint16 { return uint16(math.Round(min(v, 2) * columnScale)) }

// Column returns the highest absolute value and the root mean square of both
// channels from frame from up to, not with, frame to, widened to whole
// columns. ok is false as long as not all of that is built, and where there is
// no music. A wide range costs little more than a narrow one. It is safe to
// call from any goroutine.
func (o *Overview) Column(from, to timebase.Frame) (peak, rms [2]float32, ok bool) {
	from, to = max(from, 0), min(to, o.length)
	if from >= to || to > o.Built() {
		return peak, rms, false
	}
	from = from / o.bucket * o.bucket
	to = min(ceilDiv(to, o.bucket)*o.bucket, o.length)
	if to > o.Built() {
		return peak, rms, false
	}
	var high [2]uint16
	var power [2]float64
	for at := from; at < to; {
		level := 0
		for level+1 < len(o.levels) && at%o.span(level+1) == 0 && at+o.span(level+1) <= to {
			level++
		}
		col := o.levels[level][at/o.span(level)]
		next := min(at+o.span(level), to)
		for c := range 2 {
			high[c] = max(high[c], col.peak[c])
			power[c] += float64(col.rms[c]) * float64(col.rms[c]) * float64(next-at)
		}
		at = next
	}
	for c := range 2 {
		peak[c] = float32(high[c]) / columnScale
		rms[c] = float32(math.Sqrt(power[c]/float64(to-from)) / columnScale)
	}
	return peak, rms, true
}
