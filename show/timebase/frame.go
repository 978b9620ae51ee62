// Package timebase counts time exactly: frames of a soundtrack, and the frames
// and labels of SMPTE timecode.
package timebase

import "time"

// A Frame counts frames of the soundtrack at its own sample rate, from the
// first frame of the music. It is the only measure of time in the transport.
type Frame int64

// At returns the moment of frame f in a soundtrack of rate frames a second,
// rounded to the nearest nanosecond. FrameAt undoes it exactly.
func (f Frame) At(rate int) time.Duration {
	r := Frame(rate)
	return time.Duration(f/r)*time.Second + time.Duration(divRound(int64(f%r)*int64(time.Second), int64(rate)))
}

// FrameAt returns the frame nearest to d in a soundtrack of rate frames a
// second; halves go away from zero.
func FrameAt(d time.Duration, rate int) Frame {
	s, rest := int64(d/time.Second), int64(d%time.Second)
	return Frame(s*int64(rate) + divRound(rest*int64(rate), int64(time.Second)))
}

func divRound(a, b int64) int64 {
	if a < 0 {
		return -divRound(-a, b)
	}
	return (a + b/2) / b
}
