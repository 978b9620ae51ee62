package ear

import "testing"

// heardFor lets a watch see blocks of the same kind for so many seconds, and returns after
// how many it is over its limit; below 0 for never.
func (w *watch) heardFor(seconds float64, step int, score, power float64) float64 {
	for n := 1; float64(n)*hop <= seconds*8000; n++ {
		w.see(step, score, power)
		if w.stopped() {
			return float64(n) * hop / 8000
		}
	}
	return -1
}

// TestWatch: after music that was heard well or badly, what follows is a stop or none.
// The scores of chance and of bad music are those of trials; times are in seconds.
func TestWatch(t *testing.T) {
	t.Parallel()
	const silent = levelSteps
	for _, row := range []struct {
		name         string
		before       float64 // the score of the music, of power 1
		step         int
		score, power float64
		seconds      float64
		from, to     float64 // within which it is a stop; below 0: it is none
	}{
		{"the music goes on", 8, 2, 8, 1, 60, -1, 0},
		{"it goes on, and is heard badly", 5, 2, 4, 1, 60, -1, 0},
		{"it stops", 8, 2, 2, 0.01, 5, 0.3, 1},
		{"it stops in noise", 5, 2, 2.2, 1, 5, 0.3, 1.2},
		{"a bang", 8, 2, 2, 60, 1, -1, 0},
		{"noise that stays", 8, 2, 2, 60, 10, 3, 3.2},
		{"the music itself in loud noise", 8, 2, 6, 4, 60, -1, 0},
		{"a silence in the music", 8, silent, 2, 0.01, 15, -1, 0},
		{"a silence without an end", 8, silent, 2, 0.01, 40, 20, 20.2},
		{"much quieter music than was ever heard", 8, 9, 2, 0.01, 15, -1, 0},
	} {
		var w watch
		if at := w.heardFor(10, 2, row.before, 1); at >= 0 {
			t.Errorf("%s: a stop %.2f s before", row.name, at)
		}
		at := w.heardFor(row.seconds, row.step, row.score, row.power)
		if (at < 0) != (row.from < 0) || at >= 0 && (at < row.from || at > row.to) {
			t.Errorf("%s: a stop after %.2f s, want %.1f to %.1f", row.name, at, row.from, row.to)
		}
	}
}

// TestLevelOf: steps of 3 dB, with silence below the last one.
func TestLevelOf(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		level float64
		want  int
	}{{1, 2}, {10, 0}, {1.42, 0}, {0.99, 2}, {0.70, 3}, {0.25, 6}, {0.001, 22}, {0, levelSteps}} {
		if got := levelOf(row.level, 1); got != row.want {
			t.Errorf("%g: step %d, want %d", row.level, got, row.want)
		}
	}
	if got := levelOf(1, 0); got != levelSteps {
		t.Errorf("in silence: %d", got)
	}
}
