package locate

import (
	"math"
	"slices"

	"drylane/playback/internal/dsp"
)

const (
	limitPiece = Rate / 40 // samples over which a level is taken: 25 ms
	limitOver  = 1.5       // times the usual level that is left as it is
)

// Limit brings down in place what is much louder than x is for most of the time, so that a
// bang, or a burst of noise, does not speak for all of a block. The usual level is one
// that a quarter of x exceeds: half of a block may be silence. levels is room that is used
// again; it is returned.
func Limit(x, levels []float64) []float64 {
	levels = levels[:0]
	for at := 0; at < len(x); at += limitPiece {
		levels = append(levels, dsp.RMS(x[at:min(len(x), at+limitPiece)]))
	}
	if len(levels) == 0 {
		return levels
	}
	n := len(levels)
	levels = append(levels, levels...)
	slices.Sort(levels[n:])
	most := limitOver * levels[n+3*n/4]
	for i, level := range levels[:n] {
		if level <= most || most == 0 {
			continue
		}
		piece := x[i*limitPiece : min(len(x), (i+1)*limitPiece)]
		for k := range piece {
			piece[k] *= most / level
		}
	}
	return levels
}

// loudLevel is the RMS that a tenth of the seconds of x reach.
func loudLevel(x []float32) float64 {
	var levels []float64
	for len(x) > 0 {
		n := min(Rate, len(x))
		sum := 0.0
		for _, v := range x[:n] {
			sum += float64(v) * float64(v)
		}
		levels = append(levels, math.Sqrt(sum/float64(n)))
		x = x[n:]
	}
	if len(levels) == 0 {
		return 0
	}
	slices.Sort(levels)
	return levels[len(levels)*9/10]
}
