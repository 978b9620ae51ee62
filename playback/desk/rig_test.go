package desk

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/output"
	"drylane/playback/wavtest"
)

// A tape is an output that the test plays by hand: hear moves it on.
type tape struct {
	rate            int
	frames          [][2]float64 // all that was written and not dropped
	heard           int64
	playing, closed bool
	gone            error
}

const tapeRoom = 4800

func (t *tape) Name() string { return "tape" }

func (t *tape) Space() int { return tapeRoom - int(int64(len(t.frames))-t.heard) }

func (t *tape) Write(f [][2]float64) error {
	if len(f) > t.Space() {
		return fmt.Errorf("%d frames for a room of %d", len(f), t.Space())
	}
	t.frames = append(t.frames, f...)
	return t.gone
}

func (t *tape) Start() error { t.playing = true; return t.gone }

func (t *tape) Heard() (int64, error) { return t.heard, t.gone }

func (t *tape) Hold() (int64, error) {
	t.playing, t.frames = false, t.frames[:t.heard]
	return t.heard, t.gone
}

func (t *tape) Latency() time.Duration { return 100 * time.Millisecond }
func (t *tape) Underruns() int         { return 0 }
func (t *tape) Close() error           { t.closed = true; return nil }

func (t *tape) hear(n int) { t.heard = min(t.heard+int64(n), int64(len(t.frames))) }

// A rig is a desk on tapes with a clock moved by hand.
type rig struct {
	*Desk
	tapes []*tape
	clock time.Time
	fails error // of the next output
}

func newRig(t testing.TB, sources []Source, open Opener) *rig {
	t.Helper()
	r := &rig{clock: time.Date(2026, 11, 25, 21, 0, 0, 0, time.UTC)}
	r.Desk = New(Config{Sources: sources, Open: open, Rate: 48000, Now: func() time.Time { return r.clock }, Level: StartLevel,
		Output: func(rate int) (playback.Output, error) {
			if err := r.fails; err != nil {
				r.fails = nil
				return nil, err
			}
			r.tapes = append(r.tapes, &tape{rate: rate})
			return r.tape(), nil
		}})
	return r
}

func (r *rig) tape() *tape { return r.tapes[len(r.tapes)-1] }

// ask does commands in one step and publishes.
func (r *rig) ask(list ...Command) *Snapshot {
	for _, c := range list {
		r.Do(c)
	}
	r.step()
	r.publish()
	return r.Snapshot()
}

// hear lets n frames sound, a device's block at a time.
func (r *rig) hear(n int) *Snapshot {
	const device = 240
	for ; n > 0; n -= device {
		r.tape().hear(min(n, device))
		r.clock = r.clock.Add(5 * time.Millisecond)
		r.step()
	}
	r.publish()
	return r.Snapshot()
}

// countingWAV writes a file whose frame i holds (i+1)/32768 on the left and
// its negative on the right.
func countingWAV(t testing.TB, path string, rate, n int) {
	t.Helper()
	frames := make([][2]float64, n)
	for i := range frames {
		frames[i] = counted(i)
	}
	wavtest.Write(t, path, rate, 2, frames)
}

func counted(i int) [2]float64 {
	v := float64(i+1) / 32768
	return [2]float64{v, -v}
}

// folder opens files in dir.
func showFolder(dir string) Opener {
	return func(name string) (*playback.Soundtrack, error) { return playback.OpenFile(filepath.Join(dir, name)) }
}

var errNone = errors.New("no device")

// intoWAV plays a source once into a WAV file and returns the file's path and
// its frames.
func intoWAV(t testing.TB, s Source, rate int, length time.Duration, gain, level Half) (string, [][2]float64) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "out.wav")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	d := New(Config{Sources: []Source{s}, Rate: rate, Gain: [2]Half{gain, gain}, Level: level,
		Output: func(rate int) (playback.Output, error) {
			return output.WAV(output.Options{Rate: rate}, f, playback.WAVInt16)
		}})
	if err := d.PlayOnce(context.Background(), 0, length); err != nil {
		t.Fatal(err)
	}
	m, err := playback.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	all := make([][2]float64, m.Len())
	for n := 0; n < len(all); {
		k, ok := m.Stream(all[n:])
		if !ok {
			t.Fatalf("the file ends after %d of %d frames: %v", n, len(all), m.Err())
		}
		n += k
	}
	return path, all
}
