package desk

import (
	"math"
	"time"

	"drylane/playback/loudness"
)

// A block is what was measured of a stretch of frames when it was rendered.
// From and to count in the output's frames.
type block struct {
	from, to       int64
	peak           [2]float64
	over           int
	momentary, s3s loudness.Level
}

// A meter measures what is rendered and tells of what is heard.
type meter struct {
	blocks [256]block
	next   int
	loud   *loudness.Meter
	heard  int64 // all blocks before have been told of
}

// restart begins a new stream at output frame at.
func (m *meter) restart(rate int, at int64) {
	*m = meter{heard: at}
	if l, err := loudness.New(rate, 2, loudness.Options{}); err == nil {
		m.loud = l
	}
}

// add measures part, which begins at output frame from.
func (m *meter) add(from int64, part [][2]float64, over int) {
	b := block{from: from, to: from + int64(len(part)), peak: peakOf(part), over: over,
		momentary: loudness.Silence, s3s: loudness.Silence}
	if m.loud != nil {
		m.loud.Write(part)
		b.momentary, b.s3s = m.loud.Momentary(), m.loud.ShortTerm()
	}
	m.blocks[m.next%len(m.blocks)] = b
	m.next++
}

// hear returns the peaks of what was heard since the last call, the samples
// over full scale in it, and the loudness up to its end. ok is false when it
// was nothing.
func (m *meter) hear(heard int64) (b block, ok bool) {
	b = block{momentary: loudness.Silence, s3s: loudness.Silence}
	last := int64(math.MinInt64)
	for _, x := range m.blocks {
		if x.from >= heard || x.to <= m.heard || x.to == x.from {
			continue
		}
		ok = true
		for ch := range b.peak {
			b.peak[ch] = max(b.peak[ch], x.peak[ch])
		}
		if x.from >= m.heard { // not told of yet
			b.over += x.over
		}
		if x.from > last {
			last, b.momentary, b.s3s = x.from, x.momentary, x.s3s
		}
	}
	m.heard = heard
	return b, ok
}

// How a held peak behaves (common practice, no source).
const (
	peakHold = 1500 * time.Millisecond
	peakFall = 20.0 // dB a second, after that
)

// A peakHolder shows the highest peak for a while and then lets it fall.
type peakHolder struct {
	top   float64 // the peak held
	since time.Time
	Max   float64 // the highest since cleared
}

// see takes a peak heard at now.
func (p *peakHolder) see(peak float64, now time.Time) {
	p.Max = max(p.Max, peak)
	if peak >= p.at(now) {
		p.top, p.since = peak, now
	}
}

// at returns the peak shown at now.
func (p *peakHolder) at(now time.Time) float64 {
	late := now.Sub(p.since) - peakHold
	if late <= 0 {
		return p.top
	}
	return p.top * math.Pow(10, -peakFall*late.Seconds()/20)
}
