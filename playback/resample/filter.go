package resample

import (
	"math"

	"drylane/playback/internal/window"
)

// The low-pass filter is a Kaiser-windowed sinc (J. F. Kaiser, "Nonrecursive
// digital filter design using the I0-sinh window function", 1974). It passes
// everything up to passband of the lower of the two Nyquist frequencies (20 kHz
// at 44.1 kHz) and holds everything from that Nyquist frequency on below
// rejection, so that nothing folds back.
const (
	passband  = 20000.0 / 22050
	rejection = 140.0 // dB
)

// halfLength returns how many input frames the filter reaches to either side
// for a lower-to-input rate ratio scale <= 1, by Kaiser's length formula. It is
// even, for dot.
func halfLength(scale float64) int {
	width := math.Pi * (1 - passband) * scale // transition, radians per input frame
	order := (rejection - 7.95) / (2.285 * width)
	return 2 * int(math.Ceil(order/4+0.5))
}

// polyphase returns the filter's taps for each of the l phases, half on either
// side. Phase p holds the weights of the input frames i-half+1 .. i+half for an
// output frame at input time i + p/l. Every phase sums to 1.
func polyphase(l, half int, scale float64) []float64 {
	cutoff := scale * (1 + passband) / 2
	beta := 0.1102 * (rejection - 8.7)
	taps := make([]float64, 2*half*l)
	for p := range l {
		phase := taps[2*half*p:][:2*half]
		sum := 0.0
		for j := range phase {
			u := float64(j-half+1) - float64(p)/float64(l)
			phase[j] = window.Sinc(cutoff*u) * window.Kaiser(u/float64(half), beta)
			sum += phase[j]
		}
		for j := range phase {
			phase[j] /= sum
		}
	}
	return taps
}
