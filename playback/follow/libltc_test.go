package follow

import (
	"slices"
	"testing"
	"time"

	"drylane/show/timebase"
	"drylane/testdata/reftest"
)

// written is n frames of code that libltc (Debian libltc-dev) writes, in 8 bits, at a
// speed: the outside reference.
func written(run func([]byte, ...any) []byte, rate timebase.Rate, sampleRate int, first timebase.Timecode, n int, speed float64) []float64 {
	num, den := rate.Fraction()
	standard := map[int]int{24: 3, 25: 1, 30: 0}[rate.Count()] // enum LTC_TV_STANDARD
	drop := 0
	if rate.Drop() {
		drop = 1
	}
	raw := run(nil, "write", sampleRate, num, den, standard, drop, first.H, first.M, first.S, first.F, n, 1/speed)
	return reftest.LibltcSamples(raw)
}

// TestLibltc follows code that libltc wrote: every rate is found, at each sample rate
// of an input and 10 % faster and slower, at -40 dBFS with hiss and hum, and a pause,
// a jump and a turn in it are what they are in our own.
func TestLibltc(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	run := reftest.Libltc(t, "../ltc/testdata/reference.c")
	for _, rate := range timebase.Rates {
		first := rate.Timecode(90000)
		for _, sampleRate := range []int{44100, 48000, 96000} {
			for _, speed := range []float64{0.9, 1, 1.1} {
				if speed != 1 && sampleRate != hz {
					continue
				}
				s := noisy(scaled(written(run, rate, sampleRate, first, 90, speed), -37), sampleRate, -60, -50)
				cfg := Config{SampleRate: sampleRate, From: first}
				if speed != 1 {
					cfg.Rate = rate
				}
				list := followed(t, cfg, s)
				end := list[len(list)-1].now
				if words(list) != "locked" || end.Rate != rate || (end.Place-rate.At(90)).Abs() > 3*time.Millisecond {
					t.Errorf("%s at %d Hz and speed %g: %s, rate %s, at %v of %v", rate, sampleRate, speed, words(list), end.Rate, end.Place, rate.At(90))
				}
			}
		}
		part := func(at int64, n int, speed float64) []float64 {
			return written(run, rate, hz, rate.Timecode(90000+at), n, speed)
		}
		for _, row := range []struct {
			name  string
			sound []float64
			want  string
		}{
			{"stops and runs on", slices.Concat(part(0, 60, 1), silence(hz), part(60, 20, 1)), "locked, carried, lost (stopped), locked again"},
			{"jumps", slices.Concat(part(0, 60, 1), part(3000, 60, 1)), "locked, carried, lost (jumped), locked"},
			{"doubled once", slices.Concat(part(0, 60, 1), part(59, 60, 1)), "locked, carried, locked"},
			{"backwards", part(60, 60, -1), "searching (backwards)"},
		} {
			if got := words(followed(t, Config{SampleRate: hz, From: first}, row.sound)); got != row.want {
				t.Errorf("%s, %s: %s; want %s", rate, row.name, got, row.want)
			}
		}
	}
}
