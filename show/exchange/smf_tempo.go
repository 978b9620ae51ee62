package exchange

import (
	"cmp"
	"fmt"
	"math"
	"math/bits"
	"slices"
	"time"

	"drylane/show/timebase"
)

// defaultTempo is that of a file which states none: 120 quarter notes a minute.
const defaultTempo = 500_000

// A smfClock turns ticks, asked in rising order, into time. The time so far is
// kept as a whole number of micros*ticks, so that nothing is rounded before the
// end.
type smfClock struct {
	tempos   []smfTempo // those to come
	division int64      // ticks a quarter note; or, with SMPTE, ticks a second times den
	den      int64      // 0: the division is of a quarter note
	tick     int64
	sum      int64 // microseconds times division
	micros   int64
}

// smpteRates are the frame rates of a division, by its upper byte.
var smpteRates = map[int8]timebase.Rate{
	-24: timebase.FPS24, -25: timebase.FPS25, -29: timebase.FPS2997Drop, -30: timebase.FPS30,
}

func newSMFClock(division uint16, tempos []smfTempo) (*smfClock, error) {
	if division&0x8000 == 0 {
		if division == 0 {
			return nil, fmt.Errorf("a division of 0")
		}
		// Of tempos on one tick the last holds.
		slices.SortStableFunc(tempos, func(a, b smfTempo) int { return cmp.Compare(a.tick, b.tick) })
		return &smfClock{tempos: tempos, division: int64(division), micros: defaultTempo}, nil
	}
	rate, ok := smpteRates[int8(division>>8)]
	ticks := int64(division & 0xFF)
	if !ok || ticks == 0 {
		return nil, fmt.Errorf("a division of %d frames a second in %d ticks", -int8(division>>8), ticks)
	}
	num, den := rate.Fraction()
	return &smfClock{division: num * ticks, den: den}, nil
}

// at returns the time of a tick, rounded to the nanosecond. ok is false past
// the time that can be counted.
func (c *smfClock) at(tick int64) (at time.Duration, ok bool) {
	if c.den != 0 {
		return muldiv(tick*c.den, int64(time.Second), c.division)
	}
	for len(c.tempos) > 0 && c.tempos[0].tick <= tick {
		if !c.advance(c.tempos[0].tick) {
			return 0, false
		}
		c.micros = c.tempos[0].micros
		c.tempos = c.tempos[1:]
	}
	if !c.advance(tick) {
		return 0, false
	}
	return muldiv(c.sum, int64(time.Microsecond), c.division)
}

// advance moves to a tick at the tempo in force. Ticks are below 2^52 (a file's
// bytes times 2^28 at most) and tempos below 2^24, so their product may not fit.
func (c *smfClock) advance(tick int64) bool {
	hi, lo := bits.Mul64(uint64(tick-c.tick), uint64(c.micros))
	if hi != 0 || lo > math.MaxInt64/4 || c.sum > math.MaxInt64/4 {
		return false
	}
	c.sum += int64(lo)
	c.tick = tick
	return true
}

// muldiv is a*b/d rounded to nearest; ok is false if that does not fit.
func muldiv(a, b, d int64) (time.Duration, bool) {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	lo, carry := bits.Add64(lo, uint64(d/2), 0)
	hi += carry
	if hi >= uint64(d) {
		return 0, false
	}
	q, _ := bits.Div64(hi, lo, uint64(d))
	if q > math.MaxInt64 {
		return 0, false
	}
	return time.Duration(q), true
}
