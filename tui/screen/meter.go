package screen

import "math"

// meterFloor is the level at the left end of a meter, in dBFS.
const meterFloor = -48

// Meter draws a peak level from meterFloor to 0 dBFS over w columns.
func (c *Canvas) Meter(x, y, w int, peak float64) {
	db := 20 * math.Log10(max(peak, 1e-9))
	lit := int(float64(w)*(db-meterFloor)/-meterFloor + 0.5)
	for k := range w {
		style, ch := MeterLow, '▮'
		switch {
		case k >= lit:
			style, ch = Faint, '▯'
		case k >= w*(-meterFloor-3)/-meterFloor: // the last 3 dB
			style = MeterHot
		}
		c.Set(x+k, y, ch, style)
	}
}
