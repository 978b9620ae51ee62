package drift

import (
	"testing"
	"time"
)

// Ten taps before their cues by 300, 330, 270, 310, 290, 300, 320, 280, 300 and 310
// ms. By hand: in order 270 280 290 300 300 300 310 310 320 330, the middle 300; the
// distances from it in order 0 0 0 10 10 10 20 20 30 30, their middle 10, times
// 1.4826 (NIST/SEMATECH handbook, 1.3.5.6) 14.8 ms. Nothing is further off than
// 3.5 times even the least scatter believed, 25 ms. 300 ms is three steps.
func TestVerdictByHand(t *testing.T) {
	t.Parallel()
	cues, taps := slowShow(300, 330, 270, 310, 290, 300, 320, 280, 300, 310)
	rep := Analyse(cues, taps, Config{})
	if rep.Show.N != 10 || (rep.Show.Offset-300*time.Millisecond).Abs() > 3*time.Millisecond || rep.Show.Spread.Round(10*time.Microsecond) != 14830*time.Microsecond {
		t.Errorf("%+v, want 10 taps, 300 ms, spread 14.83 ms", rep.Show)
	}
	if rep.Show.Low < 270*time.Millisecond || rep.Show.High > 330*time.Millisecond {
		t.Errorf("the interval %v to %v is wider than the taps", rep.Show.Low, rep.Show.High)
	}
	if rep.Verdict.Nudge != 300*time.Millisecond {
		t.Errorf("nudge %v", rep.Verdict.Nudge)
	}
}

// Twelve taps off their ticks by -52 -48 -60 -35 -41 -55 -49 -44 -58 -46 -51 and, once
// asleep, -170 ms. By hand: the middle is -50, the last lies 120 ms from it, more
// than 3.5 times the least scatter believed, 25 ms, and goes. Of the eleven left the
// middle is -49; the distances in order are 0 1 2 3 3 5 6 8 9 11 14, their middle 5,
// times 1.4826 is 7.4 ms.
func TestCalibrationByHand(t *testing.T) {
	t.Parallel()
	var ticks, taps []time.Duration
	for i, off := range []int{-52, -48, -60, -35, -41, -55, -49, -44, -58, -46, -51, -170} {
		at := time.Second + time.Duration(i)*600*time.Millisecond
		ticks = append(ticks, at)
		taps = append(taps, at+time.Duration(off)*time.Millisecond)
	}
	got, err := Calibrate(ticks, taps)
	if err != nil {
		t.Fatal(err)
	}
	if got.Bias != -49*time.Millisecond || got.Scatter.Round(10*time.Microsecond) != 7410*time.Microsecond || got.Used != 11 || got.Dropped != 1 || got.Habit != HabitEarly {
		t.Errorf("%+v", got)
	}
}

// The edges of the bands of habits, each to the millisecond.
func TestHabitEdges(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		bias int
		want Habit
	}{{-141, HabitTooEarly}, {-140, HabitEarly}, {-20, HabitEarly}, {-19, HabitOnTime}, {20, HabitOnTime}, {21, HabitLate}, {99, HabitLate}, {100, HabitReacting}} {
		ticks, taps := metronome(20, time.Duration(c.bias)*time.Millisecond, 5*time.Millisecond)
		if got, err := Calibrate(ticks, taps); err != nil || got.Habit != c.want {
			t.Errorf("%d ms: %s, %v, want %s", c.bias, got.Habit, err, c.want)
		}
	}
}
