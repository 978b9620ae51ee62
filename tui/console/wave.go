package console

import (
	"drylane/show/timebase"
	"drylane/tui/screen"
)

// A Wave gives the level of the soundtrack over any stretch of it: the peak
// and the root mean square of each channel, 0 to 1. ok is false where the
// overview has not been made yet. playback.Overview is one.
type Wave func(from, to timebase.Frame) (peak, rms [2]float32, ok bool)

// drawWave draws the window's music into rc in braille: two half columns by
// four dots a cell, the left channel upward from the middle and the right
// channel downward. The body is the RMS, the thinner fringe the peak.
//
// It is drawn against the track's own peak, once that is known: a quiet master would
// be a line otherwise.
func drawWave(c *screen.Canvas, rc screen.Rectangle, w window, wave Wave, now timebase.Frame, length timebase.Frame) {
	if wave == nil {
		return
	}
	dots := rc.H * 4
	up, down := dots/2, dots-dots/2
	scale := waveScale(wave, length)
	var halves [2]wavePoint
	for col := range rc.W {
		var any bool
		for k := range halves {
			at := w.first + int64(2*col+k)
			from, to := timebase.Frame(at*w.step), timebase.Frame((at+1)*w.step)
			halves[k] = wavePoint{}
			if to <= 0 || from >= length {
				continue
			}
			peak, rms, ok := wave(max(0, from), min(to, length))
			for ch := range peak {
				peak[ch], rms[ch] = min(1, scale*peak[ch]), min(1, scale*rms[ch])
			}
			halves[k] = wavePoint{peak, rms, ok}
			any = true
		}
		if !any {
			continue
		}
		past := timebase.Frame((w.first+int64(2*col+1))*w.step) <= now
		for row := range rc.H {
			bits, edge := brailleCell(halves, row*4, up, down)
			if !halves[0].ok && !halves[1].ok {
				if row == rc.H/2 {
					c.Set(rc.X+col, rc.Y+row, '·', screen.Faint)
				}
				continue
			}
			if bits == 0 {
				continue
			}
			style := screen.WaveAhead
			switch {
			case past:
				style = screen.WavePast
			case edge:
				style = screen.WaveEdge
			}
			c.Set(rc.X+col, rc.Y+row, rune(0x2800+int(bits)), style)
		}
	}
}

// mostScale keeps what is next to silence from looking like music: 40 dB.
const mostScale = 100

// waveScale is what brings the loudest of the track to the edge; 1 as long as not all
// of it has been looked through.
func waveScale(wave Wave, length timebase.Frame) float32 {
	peak, _, ok := wave(0, length)
	if loudest := max(peak[0], peak[1]); ok && loudest > 0 {
		return min(mostScale, 1/loudest)
	}
	return 1
}

type wavePoint struct {
	peak, rms [2]float32
	ok        bool
}

// brailleDot is the bit of the dot in a column (0, 1) and row (0..3) of a cell.
var brailleDot = [2][4]byte{{0x01, 0x02, 0x04, 0x40}, {0x08, 0x10, 0x20, 0x80}}

// brailleCell returns the dots of the cell whose first dot row is top, and
// whether it only holds fringe.
func brailleCell(halves [2]wavePoint, top, up, down int) (bits byte, edge bool) {
	edge = true
	for k, p := range halves {
		if !p.ok {
			continue
		}
		for dy := range 4 {
			y := top + dy
			ch, dist, room := 0, up-y, up // dots above the middle
			if y >= up {
				ch, dist, room = 1, y-up+1, down
			}
			body := int(p.rms[ch]*float32(room) + 0.5)
			fringe := int(p.peak[ch]*float32(room) + 0.5)
			switch {
			case dist <= max(1, body):
				edge = edge && dist > body
				bits |= brailleDot[k][dy]
			case dist <= fringe && (dist == fringe || (dist+k)%2 == 0):
				bits |= brailleDot[k][dy]
			}
		}
	}
	return bits, edge
}
