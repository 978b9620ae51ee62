package drift

import (
	"strings"
	"testing"
	"time"
)

// metronome has ticks every 600 ms and taps off them by bias and a pattern of
// the given size.
func metronome(n int, bias, size time.Duration) (ticks, taps []time.Duration) {
	for i := range n {
		at := time.Second + time.Duration(i)*600*time.Millisecond
		ticks = append(ticks, at)
		taps = append(taps, at+bias+time.Duration(i%5-2)*size)
	}
	return ticks, taps
}

// Bands: Aschersleben 2002 (several tens of ms early), Repp 2005 (20 to 80 ms,
// musicians less), Repp and Doggett 2007 (reactions 150 ms late and more).
func TestCalibrateHabits(t *testing.T) {
	t.Parallel()
	const ms = time.Millisecond
	for _, c := range []struct {
		bias, size time.Duration
		want       Habit
		words      string
	}{
		{-50 * ms, 10 * ms, HabitEarly, "you tap 50 ms early, give or take 15 ms (20 taps)"},
		{-80 * ms, 10 * ms, HabitEarly, "most people"},
		{-20 * ms, 10 * ms, HabitEarly, "most people"},
		{-5 * ms, 10 * ms, HabitOnTime, "trained musicians"},
		{40 * ms, 10 * ms, HabitLate, "few people tap late"},
		{160 * ms, 20 * ms, HabitReacting, "reacting to the ticks"},
		{-200 * ms, 10 * ms, HabitTooEarly, "earlier than people do"},
		{-50 * ms, 70 * ms, HabitUnsteady, "too unsteady"},
	} {
		ticks, taps := metronome(20, c.bias, c.size)
		got, err := Calibrate(ticks, taps)
		if err != nil {
			t.Fatal(err)
		}
		if got.Habit != c.want || got.Bias != c.bias || got.Used != 20 || !strings.Contains(got.Text, c.words) {
			t.Errorf("bias %v: %+v, want %s, %q", c.bias, got, c.want, c.words)
		}
	}
}

func TestCalibrateDropsStrays(t *testing.T) {
	t.Parallel()
	ticks, taps := metronome(20, -40*time.Millisecond, 5*time.Millisecond)
	taps[7] += 250 * time.Millisecond                // a stumble
	taps = append(taps, taps[3]+90*time.Millisecond) // a bounce
	got, err := Calibrate(ticks, taps)
	if err != nil {
		t.Fatal(err)
	}
	if got.Bias != -40*time.Millisecond || got.Used != 19 || got.Dropped != 2 {
		t.Errorf("%+v", got)
	}
}

func TestCalibrateTooLittle(t *testing.T) {
	t.Parallel()
	ticks, taps := metronome(20, 0, 0)
	if _, err := Calibrate(ticks[:9], taps); err == nil || err.Error() != "drift: calibration with 9 ticks, at least 10 are needed" {
		t.Errorf("nine ticks: %v", err)
	}
	got, err := Calibrate(ticks, taps[:7])
	if err != nil || got.Habit != HabitUnknown || got.Text != "too few taps: 3 more" {
		t.Errorf("seven taps: %+v, %v", got, err)
	}
	got, err = Calibrate(ticks, nil)
	if err != nil || got.Habit != HabitUnknown || got.Text != "too few taps: 10 more" {
		t.Errorf("no taps: %+v, %v", got, err)
	}
}
