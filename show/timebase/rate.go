package timebase

import (
	"fmt"
	"strings"
	"time"
)

// A Rate is a frame rate and the way its frames are counted. The zero Rate is
// none: methods other than String and Valid panic on it.
type Rate int

// The rates of ST 12-1 for one label a frame. Drop frame leaves out labels, not
// frames, so that the labels stay near the clock on the wall.
const (
	FPS23976    Rate = iota + 1 // 24000/1001, counted as 24
	FPS24                       // 24
	FPS25                       // 25
	FPS2997                     // 30000/1001, counted as 30: loses 3.6 s an hour
	FPS2997Drop                 // 30000/1001, drop frame
	FPS30                       // 30
)

// Rates are all rates, slowest first.
var Rates = []Rate{FPS23976, FPS24, FPS25, FPS2997, FPS2997Drop, FPS30}

var rateTable = [...]struct {
	name     string
	num, den int64 // frames a second
	count    int   // frames counted to a second
}{
	FPS23976:    {"23.976", 24000, 1001, 24},
	FPS24:       {"24", 24, 1, 24},
	FPS25:       {"25", 25, 1, 25},
	FPS2997:     {"29.97", 30000, 1001, 30},
	FPS2997Drop: {"29.97 drop", 30000, 1001, 30},
	FPS30:       {"30", 30, 1, 30},
}

// Valid tells whether r is one of the rates above.
func (r Rate) Valid() bool { return r >= FPS23976 && r <= FPS30 }

// String returns the name of the rate, such as `29.97 drop`.
func (r Rate) String() string {
	if !r.Valid() {
		return fmt.Sprintf("rate %d", int(r))
	}
	return rateTable[r].name
}

// ParseRate reads a name as String writes it. A frame rate that is not in use
// is an error that lists those that are.
func ParseRate(s string) (Rate, error) {
	var names []string
	for _, r := range Rates {
		if s == r.String() {
			return r, nil
		}
		names = append(names, r.String())
	}
	return 0, fmt.Errorf("no timecode rate %q, want one of %s", s, strings.Join(names, ", "))
}

// Fraction returns the frames a second as num/den.
func (r Rate) Fraction() (num, den int64) { return rateTable[r].num, rateTable[r].den }

// FPS returns the frames a second, rounded.
func (r Rate) FPS() float64 { return float64(rateTable[r].num) / float64(rateTable[r].den) }

// Count returns how many frames are counted to a second of the label: 24, 25
// or 30.
func (r Rate) Count() int { return rateTable[r].count }

// Drop tells whether labels are left out.
func (r Rate) Drop() bool { return r == FPS2997Drop }

// Sample returns the sample nearest to the start of frame k of a stream whose
// frame 0 starts at sample 0, halves up. It is exact for up to 2^35 frames,
// 36 years.
func (r Rate) Sample(k int64, sampleRate int) int64 {
	whole, rest, num := r.Start(k, int64(sampleRate))
	if 2*rest >= num {
		return whole + 1
	}
	return whole
}

// FrameAt returns the frame that sample belongs to: the largest k for which
// Sample(k) <= sample.
func (r Rate) FrameAt(sample int64, sampleRate int) int64 {
	num, den := r.Fraction()
	span := int64(sampleRate) * den // samples in num frames
	k := floorDiv(sample, span)*num + floorDiv(mod(sample, span)*num, span)
	if r.Sample(k+1, sampleRate) <= sample { // it starts less than half a sample later
		return k + 1
	}
	return k
}

// Start returns where frame k starts: at whole + rest/num samples, 0 <= rest < num.
func (r Rate) Start(k, sampleRate int64) (whole, rest, num int64) {
	num, den := r.Fraction()
	p := k * sampleRate * den
	return floorDiv(p, num), mod(p, num), num
}

// At returns the moment at which frame k starts, to the nearest nanosecond.
func (r Rate) At(k int64) time.Duration {
	num, den := r.Fraction()
	whole, rest := floorDiv(k, num), mod(k, num)
	return time.Duration(whole*den)*time.Second +
		time.Duration((rest*den*int64(time.Second)+num/2)/num)
}

// floorDiv is a/b rounded down; b > 0.
func floorDiv(a, b int64) int64 { return (a - mod(a, b)) / b }

// mod is a-b*floorDiv(a, b), from 0 to b-1; b > 0.
func mod(a, b int64) int64 { return ((a % b) + b) % b }
