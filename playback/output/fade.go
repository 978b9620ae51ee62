package output

import "math"

// Fades are made here because beep (v1.1.0) has none: the gain of its
// effects.Gain and effects.Volume is the same for every frame of a call.

// fadeOut scales frames from nearly 1 down to nearly 0 along half a cosine,
// which has no corner at either end.
func fadeOut(frames [][2]float32) {
	for i := range frames {
		scale(&frames[i], fadeGain(len(frames)-1-i, len(frames)))
	}
}

// fadeIn scales frames as frames at, at+1, ... of a fade-in that is length
// long; those beyond it are left alone.
func fadeIn(frames [][2]float32, at, length int64) {
	for i := range frames {
		if at+int64(i) >= length {
			return
		}
		scale(&frames[i], fadeGain(int(at)+i, int(length)))
	}
}

// fadeGain is the gain of frame i of a fade-in of n frames.
func fadeGain(i, n int) float64 {
	return 0.5 - 0.5*math.Cos(math.Pi*(float64(i)+0.5)/float64(n))
}

func scale(f *[2]float32, gain float64) {
	f[0] = float32(float64(f[0]) * gain)
	f[1] = float32(float64(f[1]) * gain)
}
