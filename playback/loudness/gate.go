package loudness

import (
	"math"
	"slices"
)

// The gates of ITU-R BS.1770 and EBU Tech 3342.
const (
	absoluteGate  = -70.0 // LUFS
	relativeGate  = -10.0 // LU below the mean of what passes the absolute gate
	rangeGate     = -20.0 // LU, the same for loudness range
	rangeLow      = 0.10  // loudness range runs from this quantile
	rangeHigh     = 0.95  // to this one
	calibrationDB = -0.691
)

// loudnessOf returns the loudness in LUFS of a mean K-weighted power.
func loudnessOf(power float64) Level { return Level(calibrationDB + 10*math.Log10(power)) }

// powerOf is the inverse of loudnessOf.
func powerOf(l float64) float64 { return math.Pow(10, (l-calibrationDB)/10) }

// integrated returns the mean of the gating blocks' powers that pass both
// gates, 0 if none does.
func integrated(blocks []float64) float64 {
	return meanAbove(blocks, gateAt(blocks, relativeGate))
}

// gateAt returns the power relative LU below the mean of the powers that pass
// the absolute gate, and never less than the absolute gate itself.
func gateAt(powers []float64, relative float64) float64 {
	absolute := powerOf(absoluteGate)
	return max(absolute, meanAbove(powers, absolute)*math.Pow(10, relative/10))
}

// meanAbove returns the mean of the powers above gate, 0 if there is none.
func meanAbove(powers []float64, gate float64) float64 {
	var total float64
	n := 0
	for _, p := range powers {
		if p > gate {
			total += p
			n++
		}
	}
	if n == 0 {
		return 0
	}
	return total / float64(n)
}

// loudnessRange returns the range in LU of short-term powers as in EBU Tech
// 3342, 0 if none passes the gates.
func loudnessRange(shortTerms []float64) float64 {
	gate := gateAt(shortTerms, rangeGate)
	var passed []float64
	for _, p := range shortTerms {
		if p >= gate {
			passed = append(passed, p)
		}
	}
	if len(passed) == 0 {
		return 0
	}
	slices.Sort(passed)
	at := func(quantile float64) float64 {
		return passed[int(math.Round(float64(len(passed)-1)*quantile))]
	}
	return 10 * math.Log10(at(rangeHigh)/at(rangeLow))
}
