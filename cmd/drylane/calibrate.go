package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"drylane/playback/disk"
	"drylane/playback/people"
	"drylane/show"
	"drylane/show/drift"
	"drylane/show/timebase"

	"github.com/charmbracelet/x/term"
)

type calibrateCmd struct {
	Name    string        `placeholder:"NAME" help:"Keep the result under this name, for --person NAME."`
	Taps    string        `placeholder:"FILE" help:"Read the taps from a file instead: one time in seconds a line, to clicks every 0.6 s from 2.0 s on."`
	Out     string        `default:"auto" placeholder:"WHERE" help:"Where the clicks go: auto or device. Use what the rehearsals use."`
	Latency time.Duration `placeholder:"TIME" help:"What the device does not tell of its latency, such as 180ms for a wireless speaker."`
}

func (calibrateCmd) Help() string {
	return "Finds out how early or late a person taps: people tap ahead of a beat, each by a habit of their own, and that would be taken for drift. Tap along with the clicks, on them as you hear them.\n\nExamples:\n\n  drylane calibrate --name Robin\n  drylane calibrate --taps taps.txt"
}

// The metronome: slow enough to tap each click on its own, quick enough to
// stay with it. Beyond some 2 s people react instead (Repp and Doggett 2007).
const (
	firstTick = 2 * time.Second
	tickEvery = 600 * time.Millisecond
	wantTaps  = 24
	mostTicks = wantTaps + 8 // for those that are missed
)

// ticksUntil are the ticks of the metronome up to t, count of them at most.
func ticksUntil(t time.Duration, count int) []time.Duration {
	var ticks []time.Duration
	for at := firstTick; at <= t && len(ticks) < count; at += tickEvery {
		ticks = append(ticks, at)
	}
	return ticks
}

func (c calibrateCmd) Run(e *env) error {
	if c.Name != "" {
		if err := people.CheckName(c.Name); err != nil {
			return fmt.Errorf("--name: %w", err)
		}
	}
	var ticks, taps []time.Duration
	output := "taps from a file"
	var err error
	switch {
	case c.Taps != "":
		if taps, err = readTapsFile(c.Taps); err == nil {
			// The clicks end with the taps.
			ticks = ticksUntil(taps[len(taps)-1]+tickEvery/2, maxTaps)
		}
	case !term.IsTerminal(e.in.Fd()):
		return errors.New("this is no terminal, so nobody can tap; give the taps with --taps FILE")
	default:
		ticks, taps, output, err = c.listen(e)
	}
	if err != nil {
		return err
	}
	return c.judge(e, ticks, taps, output)
}

// judge says what the taps tell and keeps it if it can be used.
func (c calibrateCmd) judge(e *env, ticks, taps []time.Duration, output string) error {
	if len(ticks) < drift.MinTicks {
		return fmt.Errorf("found %d clicks tapped along with; wanted at least %d", len(ticks), drift.MinTicks)
	}
	cal, err := drift.Calibrate(ticks, taps)
	if err != nil {
		return err
	}
	fmt.Fprintf(e.out, "%s\n", cal.Text)
	if cal.Dropped > 0 {
		fmt.Fprintf(e.out, "%d taps were left out: second ones at a click, and outliers\n", cal.Dropped)
	}
	fmt.Fprintln(e.out, "published: people tap some tens of ms ahead of a click (Aschersleben 2002), mostly 20 to 80 ms, musicians less (Repp 2005)")
	switch cal.Habit {
	case drift.HabitUnknown, drift.HabitUnsteady, drift.HabitReacting:
		return errors.New("nothing was kept: these taps cannot be used")
	}
	if c.Name == "" {
		_, err := fmt.Fprintln(e.out, "not kept; give a name with --name NAME to use it with --person NAME")
		return err
	}
	p := people.Person{Name: c.Name, BiasMS: milliseconds(cal.Bias), ScatterMS: milliseconds(cal.Scatter), Taps: cal.Used,
		Output: show.Clean(output), Measured: time.Now().Truncate(time.Second)}
	path, err := p.Save()
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(e.out, "kept for %s: %s\n", c.Name, path)
	return err
}

// milliseconds is d in tenths of a millisecond: no calibration is finer.
func milliseconds(d time.Duration) float64 {
	return float64(d.Round(100*time.Microsecond).Microseconds()) / 1000
}

// maxTaps bounds a taps file.
const maxTaps = 10_000

func readTapsFile(path string) ([]time.Duration, error) {
	f, err := disk.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s: the taps cannot be read: %w", path, disk.Plain(err))
	}
	defer f.Close()
	taps, err := parseTaps(f)
	if err != nil {
		return nil, fmt.Errorf("%s:%w", path, err)
	}
	return taps, nil
}

// parseTaps reads taps: one time a line, each after the one before. Lines that
// are empty or start with # are skipped. There is at least one tap.
func parseTaps(r io.Reader) ([]time.Duration, error) {
	var taps []time.Duration
	sc := bufio.NewScanner(r)
	line := 0
	for sc.Scan() {
		line++
		text := strings.TrimSpace(strings.TrimPrefix(sc.Text(), "\ufeff"))
		if text == "" || strings.HasPrefix(text, "#") {
			continue
		}
		at, err := show.ParseTime(text)
		switch n := len(taps); {
		case err != nil:
			return nil, fmt.Errorf("%d: %w", line, err)
		case n == maxTaps:
			return nil, fmt.Errorf("%d: found more than %d taps; wanted a shorter file", line, maxTaps)
		case n > 0 && at <= taps[n-1]:
			return nil, fmt.Errorf("%d: found %s after %s; wanted the taps in the order in which they came", line, timebase.ClockMillis(at), timebase.ClockMillis(taps[n-1]))
		}
		taps = append(taps, at)
	}
	if err := sc.Err(); err != nil {
		return nil, fmt.Errorf("%d: found a line that does not read (%w); wanted a time such as 2.584", line+1, err)
	}
	if len(taps) == 0 {
		return nil, errors.New(" found no taps; wanted one time in seconds a line")
	}
	return taps, nil
}
