// Package fitness measures what package show/fitness judges: how steadily this
// computer plays, how late its timers come, how fast its disk is.
package fitness

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"drylane/playback/disk"
	"drylane/show"
	"drylane/show/fitness"
)

// tick is how often the sound is seen to in a run.
const tick = 5 * time.Millisecond

// A watch takes down how late ticks come, and how the time of day goes beside a clock
// that nobody sets.
type watch struct {
	began time.Time
	late  []time.Duration
	last  time.Time // of the time of day, looked at every second
	step  time.Duration
}

// every calls fn each tick for a time, or until ctx ends or fn fails. A tick is late, too,
// where fn took longer than there was time for.
func (w *watch) every(ctx context.Context, length time.Duration, fn func() error) error {
	w.began = time.Now()
	w.last = w.began
	timer := time.NewTimer(tick)
	defer timer.Stop()
	for due := w.began.Add(tick); due.Sub(w.began) < length; due = due.Add(tick) {
		timer.Reset(time.Until(due))
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-timer.C:
		}
		now := time.Now()
		w.late = append(w.late, now.Sub(due))
		if now.Sub(due) > tick { // what was missed is not made up for
			due = now
		}
		w.see(now)
		if err := fn(); err != nil {
			return err
		}
	}
	return nil
}

// see takes down by how much the time of day was put forward since it was last looked
// at: what the two clocks, the one that is set and the one that is not, differ by.
func (w *watch) see(now time.Time) {
	if now.Sub(w.last) < time.Second {
		return
	}
	w.passed(now.Round(0).Sub(w.last.Round(0)), now.Sub(w.last))
	w.last = now
}

// passed takes down how much the time of day went on while the clock that nobody sets
// went on by so much.
func (w *watch) passed(day, clock time.Duration) {
	if step := day - clock; step.Abs() > w.step.Abs() {
		w.step = step
	}
}

// timer is what was seen of the ticks.
func (w *watch) timer() *fitness.Timer {
	late := slices.Sorted(slices.Values(w.late))
	return &fitness.Timer{Ticks: len(late), Late99: fitness.Milliseconds(at(late, 0.99)), Worst: fitness.Milliseconds(at(late, 1))}
}

// clock is what was seen of the time of day.
func (w *watch) clock() *fitness.Clock {
	return &fitness.Clock{Watched: fitness.Milliseconds(w.last.Sub(w.began).Round(time.Second)), Step: fitness.Milliseconds(w.step)}
}

// at is the value below which a part of sorted values lies.
func at(sorted []time.Duration, part float64) time.Duration {
	if len(sorted) == 0 {
		return 0
	}
	return sorted[min(len(sorted)-1, int(part*float64(len(sorted))))]
}

// syncs is how often a line is written.
const syncs = 40

// Disk writes lines as a session log has them into a new file in dir, and takes the
// time until each is on the disk. The file is removed.
func Disk(ctx context.Context, dir string) (*fitness.Disk, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("%s: the folder cannot be made: %w", show.Clean(dir), disk.Plain(err))
	}
	f, err := os.CreateTemp(dir, ".selftest-*")
	if err != nil {
		return nil, fmt.Errorf("%s: no file can be written there: %w", show.Clean(dir), disk.Plain(err))
	}
	defer os.Remove(f.Name())
	defer f.Close()
	line := slices.Repeat([]byte("x"), 120)
	line[len(line)-1] = '\n'
	var took []time.Duration
	for range syncs {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		began := time.Now()
		_, err := f.Write(line)
		if err == nil {
			err = f.Sync()
		}
		if err != nil {
			return nil, fmt.Errorf("%s cannot be written: %w", show.Clean(filepath.Join(dir, filepath.Base(f.Name()))), disk.Plain(err))
		}
		took = append(took, time.Since(began))
	}
	slices.Sort(took)
	return &fitness.Disk{Syncs: syncs, Median: fitness.Milliseconds(at(took, 0.5)), Worst: fitness.Milliseconds(at(took, 1))}, nil
}
