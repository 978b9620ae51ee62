// Package locate tells where in a soundtrack something that was heard lies: through a
// microphone, a line or a recording, with a room, noise and bangs about it.
//
// A [Builder] makes a [Music] of the soundtrack, once. A [Finder] looks blocks of up to
// [BlockLength] of heard sound up in all of it by GCC-PHAT (Knapp and Carter, IEEE Trans.
// ASSP 24(4), 1976), window by window, and gives the best [Place]s of each; what repeats
// in the music has as many. [FitLine] puts a line through the places of several blocks:
// a recording's clock is not the music's. A [Tracker] measures short blocks about a place
// that is known.
//
// All sound is mono at [Rate] here; a [Narrow] makes it. Times are in seconds of the
// soundtrack's own clock, from its first frame, unless something else is said.
package locate

import "math"

const (
	// Rate is the rate of all sound here, in samples a second.
	Rate = 8000
	// BlockLength is the longest block that is looked up, in samples.
	BlockLength = 32768
	// windowLength is that of the soundtrack's windows, which begin BlockLength apart:
	// wherever a block begins, one window has all of it.
	windowLength = 2 * BlockLength
)

// The band that is compared, in Hz. Below it microphones differ and wind blows; above it
// nothing comes through the filter of Narrow unchanged.
const (
	bandLow  = 100
	bandHigh = 3600
)

// bins returns the bins of the band of a window of n samples.
func bins(n int) (lo, hi int) { return bandLow*n/Rate + 1, bandHigh * n / Rate }

// floor70 is -70 dB as a ratio of powers: bins so far below the loudest one carry the
// leakage of others.
const floor70 = 1e-7

// whiten brings every bin to length 1, but for those with next to nothing in them, which
// become 0. It returns how many have something.
func whiten(bins []complex128) (n int) {
	top := 0.0
	for _, c := range bins {
		top = max(top, power(c))
	}
	for k, c := range bins {
		p := power(c)
		if p <= floor70*top {
			bins[k] = 0
			continue
		}
		bins[k] = c * complex(1/math.Sqrt(p), 0)
		n++
	}
	return n
}

func power(c complex128) float64 { return real(c)*real(c) + imag(c)*imag(c) }
