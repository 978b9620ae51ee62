package loudness

import (
	"fmt"
	"math"
	"testing"
)

// Source: ITU-R BS.1770 Annex 1, tables 1 and 2, for 48 kHz. The shelf and the
// high-pass denominator at 44.1 kHz are those that several open meters print.
func TestKWeightingIsTheTables(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		rate  int
		shelf biquad
		a1    float64 // of the high-pass
		a2    float64
	}{
		{48000,
			biquad{1.53512485958697, -2.69169618940638, 1.19839281085285, -1.69065929318241, 0.73248077421585},
			-1.99004745483398, 0.99007225036621},
		{44100,
			biquad{1.53084123005035, -2.65097999515473, 1.16907907992159, -1.66365511325602, 0.712595428073225},
			-1.9891696736298, 0.989199035787039},
	} {
		shelf, pass := kWeighting(c.rate)
		const tolerance = 1e-9
		near(t, fmt.Sprint(c.rate, " shelf b0"), shelf.b0, c.shelf.b0, tolerance)
		near(t, fmt.Sprint(c.rate, " shelf b1"), shelf.b1, c.shelf.b1, tolerance)
		near(t, fmt.Sprint(c.rate, " shelf b2"), shelf.b2, c.shelf.b2, tolerance)
		near(t, fmt.Sprint(c.rate, " shelf a1"), shelf.a1, c.shelf.a1, tolerance)
		near(t, fmt.Sprint(c.rate, " shelf a2"), shelf.a2, c.shelf.a2, tolerance)
		near(t, fmt.Sprint(c.rate, " high-pass a1"), pass.a1, c.a1, tolerance)
		near(t, fmt.Sprint(c.rate, " high-pass a2"), pass.a2, c.a2, tolerance)
		if c.rate == 48000 {
			near(t, "high-pass b0", pass.b0, 1, tolerance)
			near(t, "high-pass b1", pass.b1, -2, tolerance)
			near(t, "high-pass b2", pass.b2, 1, tolerance)
		}
	}
}

// Source of the 997 Hz anchor: ITU-R BS.1770 Annex 1 (a full-scale sine on
// one channel is -3.01 LKFS). The others were read off libebur128 1.2.6 at 48
// kHz. Another rate may only bend the curve near its own upper end.
func TestAnchorsAtEveryRate(t *testing.T) {
	t.Parallel()
	anchors := []struct {
		hz              int
		lufs, tolerance float64
	}{
		{997, -3.01, 0.01},
		{1000, -3.004, 0.01},
		{25, -14.094, 0.03},
		{100, -4.835, 0.02},
		{10000, 0.341, 0.02},
	}
	for _, rate := range []int{22050, 24000, 32000, 44100, 48000, 64000, 88200, 96000} {
		for _, c := range anchors {
			if c.hz*3 > rate {
				continue
			}
			if rate < 32000 {
				c.tolerance = 0.03 // the shelf reaches the upper end
			}
			frames := sines(rate, c.hz, part{3, 0})
			for i := range frames {
				frames[i][1] = 0
			}
			r := measured(t, rate, 2, Options{}, frames)
			near(t, fmt.Sprintf("%d Hz at %d", c.hz, rate), r.Integrated, c.lufs, c.tolerance)
		}
	}
}

func TestMonoIsOneChannelUnlessAsked(t *testing.T) {
	t.Parallel()
	frames := sines(48000, 997, part{2, 0})
	r := measured(t, 48000, 1, Options{}, frames)
	near(t, "mono", r.Integrated, -3.01, 0.01)
	r = measured(t, 48000, 1, Options{DualMono: true}, frames)
	near(t, "dual mono", r.Integrated, 0, 0.01)
	if len(r.Channel) != 1 || r.Correlation != 1 || r.Balance != 0 {
		t.Errorf("mono gives %d channels, correlation %v, balance %v; wanted 1, 1, 0", len(r.Channel), r.Correlation, r.Balance)
	}
	near(t, "RMS of a full-scale sine", r.Channel[0].RMS, -20*math.Log10(math.Sqrt2), 1e-6)
}
