// Package ltc writes and reads linear timecode, SMPTE ST 12-1: 80 bits a
// frame, sent as sound in biphase mark.
//
// An [Encoder] is a seekable stream whose every sample follows from its
// position alone, so that a track can be held and resumed anywhere. A
// [Decoder] finds the frames in a stream of samples; a [Checker] tells whether
// they follow on; [Analyse] reads a whole stream and reports on it.
//
// Samples are counted from 0 at the start of the stream, frames are frames of
// timecode. Nothing here belongs to more than one goroutine.
package ltc

import (
	"math"

	"drylane/show/timebase"
)

// nearestRate returns the rate that is nearest in speed to fps among those
// counted to count frames a second.
func nearestRate(fps float64, count int, drop bool) timebase.Rate {
	if drop {
		return timebase.FPS2997Drop
	}
	best := timebase.Rate(0)
	for _, r := range timebase.Rates {
		if r.Count() == count && !r.Drop() &&
			(best == 0 || math.Abs(r.FPS()-fps) < math.Abs(best.FPS()-fps)) {
			best = r
		}
	}
	return best
}

// mod is a-b*floor(a/b), from 0 to b-1; b > 0.
func mod(a, b int64) int64 { return ((a % b) + b) % b }
