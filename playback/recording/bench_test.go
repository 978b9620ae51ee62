package recording

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/listen"
	"drylane/playback/wavtest"
	"drylane/show"
)

// chords is music without an end that never repeats itself, at benchRate.
type chords struct {
	r     *rand.Rand
	left  int
	t     float64
	hz    [3]float64
	phase [3]float64
}

const benchRate = 22050

func (c *chords) next() float64 {
	if c.left == 0 {
		c.left, c.t = int((0.1+0.3*c.r.Float64())*benchRate), 0
		for k := range c.hz {
			c.hz[k] = 150 * math.Pow(2, 4*c.r.Float64())
		}
	}
	c.left--
	c.t += 1.0 / benchRate
	sum := 0.0
	for k := range c.hz {
		c.phase[k] += 2 * math.Pi * c.hz[k] / benchRate
		sum += math.Sin(c.phase[k]) + 0.5*math.Sin(2*c.phase[k]) + 0.3*math.Sin(3*c.phase[k])
	}
	return 0.06 * sum * math.Exp(-6*c.t)
}

// writeTape writes so much of the music, held for 20 s after each quarter where held is
// set, over noise, with a bang every other second.
func writeTape(b *testing.B, path string, length time.Duration, held bool) {
	b.Helper()
	c := &chords{r: rand.New(rand.NewPCG(1, 2))}
	noise := rand.New(rand.NewPCG(3, 4))
	wavtest.Stream(b, path, benchRate, 1, func(w *playback.WAVWriter) error {
		n := int(length.Seconds()) * benchRate
		frames := make([][2]float64, benchRate)
		for from := 0; from < n; from += benchRate {
			if held && from > 0 && from%(n/4/benchRate*benchRate) == 0 {
				clear(frames)
				for range 20 {
					if err := w.Write(frames); err != nil {
						return err
					}
				}
			}
			for i := range frames {
				v := c.next()
				if held {
					v += 0.01 * noise.NormFloat64()
					if at := float64((from+i)%(2*benchRate)) / benchRate; at < 0.1 {
						v += 0.6 * noise.NormFloat64() * math.Exp(-at/0.02)
					}
				}
				frames[i] = [2]float64{v, v}
			}
			if err := w.Write(frames); err != nil {
				return err
			}
		}
		return nil
	})
}

// BenchmarkAnHour hears a recording of an hour's show with a hold in every quarter.
// most-MB is the most memory that the process ever held, on Linux.
func BenchmarkAnHour(b *testing.B) {
	music, tape := filepath.Join(b.TempDir(), "music.wav"), filepath.Join(b.TempDir(), "tape.wav")
	writeTape(b, music, time.Hour, false)
	writeTape(b, tape, time.Hour, true)
	runtime.GC()
	s := &show.Show{Title: "hour", Positions: []show.Position{{Name: "A", Distance: 100}}, Speakers: []show.Speaker{{Name: "S", Distance: 20}}}
	for i := range 1800 {
		s.Cues = append(s.Cues, show.Cue{ID: "c", EffectAt: time.Duration(2*i) * time.Second, Position: "A", Effect: "mine", Family: show.FamilyMine, Caliber: 60})
	}
	b.ResetTimer()
	for b.Loop() {
		taken, _, err := Hear(b.Context(), s, file(music), []listen.File{file(tape)}, 0, silently)
		if err != nil {
			b.Fatal(err)
		}
		if n := len(taken[0].Holds()); n != 3 {
			b.Errorf("%d holds, want 3: %+v", n, taken[0].Lie.Pieces)
		}
	}
	if status, err := os.ReadFile("/proc/self/status"); err == nil {
		if m := regexp.MustCompile(`VmHWM:\s+(\d+) kB`).FindSubmatch(status); m != nil {
			kb := 0.0
			for _, d := range m[1] {
				kb = 10*kb + float64(d-'0')
			}
			b.ReportMetric(kb/1024, "most-MB")
		}
	}
}
