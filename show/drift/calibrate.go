package drift

import (
	"fmt"
	"slices"
	"time"

	"drylane/show/words"
)

// A Habit says how a person's taps compare with what is known of others.
type Habit string

// The habits, by bias and scatter.
const (
	HabitUnknown  Habit = "unknown"  // too few taps
	HabitUnsteady Habit = "unsteady" // too much scatter to use
	HabitTooEarly Habit = "too-early"
	HabitEarly    Habit = "early" // as most people do
	HabitOnTime   Habit = "on-time"
	HabitLate     Habit = "late"
	HabitReacting Habit = "reacting" // answering the ticks, not tapping along
)

// A Calibration is what taps along with a metronome tell about a person.
type Calibration struct {
	// Bias is the median of tap minus tick: negative for early. It includes
	// whatever delay of the output the heard clock does not know of.
	Bias    time.Duration
	Scatter time.Duration // scaled median absolute deviation
	Used    int           // taps counted
	Dropped int           // taps left out: second taps at a tick, and outliers
	Habit   Habit
	Text    string
}

// MinTicks is the fewest taps that a calibration is made from.
const MinTicks = 10

// Calibrate measures a person's bias from metronome ticks and taps, both in
// heard time and in any order. A tap belongs to the nearest tick; of several at
// one tick, the nearest counts. Ticks must be further apart than twice the bias.
func Calibrate(ticks, taps []time.Duration) (Calibration, error) {
	ticks = slices.Clone(ticks)
	slices.Sort(ticks)
	ticks = slices.Compact(ticks)
	if len(ticks) < MinTicks {
		return Calibration{}, fmt.Errorf("drift: calibration with %d ticks, at least %d are needed", len(ticks), MinTicks)
	}
	off := asynchronies(ticks, taps)
	var used []float64
	for i, far := range outliers(off) {
		if !far {
			used = append(used, off[i])
		}
	}
	c := Calibration{Used: len(used), Dropped: len(taps) - len(used), Habit: HabitUnknown}
	if len(used) == 0 {
		c.Text = fmt.Sprintf("too few taps: %s", more(MinTicks))
		return c, nil
	}
	c.Bias, c.Scatter = seconds(median(used)), seconds(scaledMAD(used))
	interval := (ticks[len(ticks)-1] - ticks[0]) / time.Duration(len(ticks)-1)
	c.Habit, c.Text = habit(c, interval)
	return c, nil
}

// asynchronies returns tap minus tick, in seconds, for each tick that has a tap.
func asynchronies(ticks, taps []time.Duration) []float64 {
	best := map[time.Duration]time.Duration{}
	for _, t := range taps {
		at := nearest(ticks, t)
		if old, taken := best[at]; !taken || (t-at).Abs() < old.Abs() || (t-at).Abs() == old.Abs() && t-at < old {
			best[at] = t - at
		}
	}
	var out []float64
	for _, at := range ticks {
		if d, ok := best[at]; ok {
			out = append(out, d.Seconds())
		}
	}
	return out
}

// nearest returns the value of sorted that is nearest to t, the earlier of two.
func nearest(sorted []time.Duration, t time.Duration) time.Duration {
	i, _ := slices.BinarySearch(sorted, t)
	if i == len(sorted) || i > 0 && t-sorted[i-1] <= sorted[i]-t {
		i--
	}
	return sorted[i]
}

// The bands of a bias. Taps lead a metronome by several tens of milliseconds
// (Aschersleben 2002), usually 20 to 80, less for musicians (Repp 2005); people
// differ by a standard deviation of up to 36 ms about means of -30 to -65 ms,
// so hardly anyone is beyond -140. Where taps turn into reactions they come
// 150 ms or more after the tick (Repp and Doggett 2007).
const (
	hardlyEarlier = -140 * time.Millisecond
	leadLeast     = -20 * time.Millisecond
	hardlyLater   = 20 * time.Millisecond
	reacting      = 100 * time.Millisecond
)

// steady is the most scatter, as a part of the tick interval, that is usable:
// trained people scatter by 2 %, others by at least twice that (Repp 2005).
const steady = 0.10

// habit names a calibration's band and says it in words.
func habit(c Calibration, interval time.Duration) (Habit, string) {
	figures := fmt.Sprintf("you tap %s, give or take %.0f ms (%s)", words.LateMS(c.Bias, "on the tick"), c.Scatter.Seconds()*1e3, words.Count(c.Used, "tap"))
	switch {
	case c.Used < MinTicks:
		return HabitUnknown, "too few taps: " + more(MinTicks-c.Used)
	case c.Scatter.Seconds() > steady*interval.Seconds():
		return HabitUnsteady, figures + ": too unsteady to use, try again"
	case c.Bias < hardlyEarlier:
		return HabitTooEarly, figures + ": earlier than people do, check that the ticks are heard when they should be"
	case c.Bias <= leadLeast:
		return HabitEarly, figures + ": early by some tens of ms, as most people do"
	case c.Bias <= hardlyLater:
		return HabitOnTime, figures + ": closer than most, as trained musicians do"
	case c.Bias < reacting:
		return HabitLate, figures + ": few people tap late, the output may be later than it says"
	}
	return HabitReacting, figures + ": that is reacting to the ticks, tap along with them instead"
}
