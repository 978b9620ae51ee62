package drift

import (
	"fmt"
	"math"
	"slices"
)

// A mismatch is a known way for music to run at another rate than the cue list
// was written for.
type mismatch struct {
	looksLike string
	// The music lasts num/den times as long as it should.
	num, den float64
}

// slope is how the residual grows a second of cue list: music that lasts
// longer leaves the cues early.
func (m mismatch) slope() float64 { return (m.den - m.num) / m.den }

// mismatches: the sampling rates of CD and video sound, and the frame rates of
// SMPTE ST 12-1 and their 1000/1001 forms.
var mismatches = []mismatch{
	{"48 kHz sound played as 44.1 kHz", 160, 147},
	{"44.1 kHz sound played as 48 kHz", 147, 160},
	{"music slowed by 1001/1000 (timecode of 30 run at 29.97, or 24 at 23.976)", 1001, 1000},
	{"music quickened by 1000/1001 (timecode of 29.97 run at 30, or 23.976 at 24)", 1000, 1001},
	{"24 frames a second played as 25", 24, 25},
	{"25 frames a second played as 24", 25, 24},
	{"23.976 frames a second played as 25", 960, 1001},
	{"25 frames a second played as 23.976", 1001, 960},
}

// clockSlack is the largest slope that two sound clocks apart explain: crystals
// of +/-100 ppm each (typical figure from a sound hardware mailing list, 2006).
const clockSlack = 200e-6

// looksLike names what a growing error may come from.
func looksLike(r Rate) string {
	near := func(a, b mismatch) int {
		if math.Abs(a.slope()-r.Slope) < math.Abs(b.slope()-r.Slope) {
			return -1
		}
		return +1
	}
	m := slices.MinFunc(mismatches, near)
	switch s := m.slope(); {
	case math.Abs(s-r.Slope) < math.Abs(s)/100, r.Low <= s && s <= r.High && (r.High-r.Low)/2 < math.Abs(s)/3:
		return "this looks like " + m.looksLike
	case math.Abs(r.Slope) <= clockSlack:
		return fmt.Sprintf("this looks like two sound clocks %.0f ppm apart", math.Abs(r.Slope)*1e6)
	}
	return "no usual mix-up of rates gives this figure: compare the soundtrack with the one the cue list was written for"
}
