package inspect

import (
	"fmt"
	"math"
	"time"

	"drylane/show/timebase"
)

// A toneEar looks for a tone that should last for a stretch of a file, by
// correlation over tenths of a second.
type toneEar struct {
	hz, level float64       // level in dBFS
	from, to  time.Duration // of the stretch
	rate      int

	at       int64 // frames heard
	n        int64 // of the present tenth
	sin, cos float64
	worst    float64 // level of the tenth that is furthest from what is wanted, in dBFS
	where    int64   // its first frame
	tenths   int
}

const (
	// toneBlur is what is left out at either end of a tone: its edges, and as
	// much as a file that was coded anew may be late.
	toneBlur = 150 * time.Millisecond
	// toneSlack is by how much a tone may be off its level, in dB.
	toneSlack = 6
)

func (e *toneEar) hear(samples []float64) {
	from, to := timebase.FrameAt(e.from+toneBlur, e.rate), timebase.FrameAt(e.to-toneBlur, e.rate)
	block := int64(e.rate / 10)
	for _, s := range samples {
		if at := timebase.Frame(e.at); at >= from && at < to {
			sin, cos := math.Sincos(2 * math.Pi * math.Mod(e.hz*float64(e.at)/float64(e.rate), 1))
			e.sin, e.cos, e.n = e.sin+s*sin, e.cos+s*cos, e.n+1
			if e.n == block {
				e.tenth()
			}
		}
		e.at++
	}
}

// tenth takes stock of a tenth of a second.
func (e *toneEar) tenth() {
	level := 20 * math.Log10(max(2/float64(e.n)*math.Hypot(e.sin, e.cos), 1e-6))
	if e.tenths == 0 || math.Abs(level-e.level) > math.Abs(e.worst-e.level) {
		e.worst, e.where = level, e.at-e.n
	}
	e.tenths++
	e.sin, e.cos, e.n = 0, 0, 0
}

func (e *toneEar) fault() string {
	switch {
	case e.tenths == 0:
		return fmt.Sprintf("there is no room for the tone of %g Hz", e.hz)
	case math.Abs(e.worst-e.level) > toneSlack:
		return fmt.Sprintf("the tone of %g Hz is at %.0f dBFS at %s; wanted %.0f", e.hz, e.worst, timebase.ClockMillis(timebase.Frame(e.where).At(e.rate)), e.level)
	}
	return ""
}
