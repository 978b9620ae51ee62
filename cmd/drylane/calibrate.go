package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"drylane/playback/disk"
	"drylane/playback/metronome"
	"drylane/playback/people"
	"drylane/show"
	"drylane/show/drift"
	"drylane/show/timebase"
	"drylane/tui/calibrate"

	"github.com/charmbracelet/x/term"
)

type calibrateCmd struct {
	Name    string        `placeholder:"NAME" help:"Keep the result under this name, for --person NAME."`
	Taps    string        `placeholder:"FILE" help:"Read the taps from a file instead: one time in seconds a line, to clicks every 0.6 s from 2.0 s on."`
	Out     string        `default:"auto" placeholder:"WHERE" help:"Where the clicks go: auto or device. Use what the rehearsals use."`
	Latency time.Duration `placeholder:"TIME" help:"What the device does not tell of its latency, such as 180ms for a wireless speaker."`
	consoleFlags
}

func (calibrateCmd) Help() string {
	return "Finds out how early or late a person taps: people tap ahead of a beat, each by a habit of their own, and that would be taken for drift. Tap along with the clicks, on them as you hear them.\n\nExamples:\n\n  drylane calibrate --name Robin\n  drylane calibrate --taps taps.txt"
}

func (c calibrateCmd) Run(e *env) error {
	if c.Name != "" {
		if err := people.CheckName(c.Name); err != nil {
			return fmt.Errorf("--name: %w", err)
		}
	}
	switch {
	case c.Taps != "":
		return c.fromFile(e)
	case !term.IsTerminal(e.in.Fd()):
		return errors.New("this is no terminal, so nobody can tap; give the taps with --taps FILE")
	}
	return c.listen(e)
}

// fromFile judges the taps of a file.
func (c calibrateCmd) fromFile(e *env) error {
	taps, err := readTapsFile(c.Taps)
	if err != nil {
		return err
	}
	// The clicks end with the taps.
	clicks := metronome.Clicks(taps[len(taps)-1]+metronome.Every/2, maxTaps)
	res, err := c.judge(clicks, taps, "taps from a file")
	return said(e, res, err)
}

// said prints what is said of the taps, whether they can be used or not.
func said(e *env, res calibrate.Result, err error) error {
	for _, line := range res.Lines {
		if _, err := fmt.Fprintln(e.out, line); err != nil {
			return err
		}
	}
	return err
}

// judge says what the taps tell and keeps it if it can be used.
func (c calibrateCmd) judge(clicks, taps []time.Duration, output string) (res calibrate.Result, err error) {
	if len(clicks) < drift.MinTicks {
		return res, fmt.Errorf("found %d clicks tapped along with; wanted at least %d", len(clicks), drift.MinTicks)
	}
	cal, err := drift.Calibrate(clicks, taps)
	if err != nil {
		return res, err
	}
	res.Habit = drift.Config{Bias: cal.Bias}
	res.Lines = []string{cal.Text}
	if cal.Dropped > 0 {
		res.Lines = append(res.Lines, fmt.Sprintf("%d taps were left out: second ones at a click, and outliers", cal.Dropped))
	}
	res.Lines = append(res.Lines, "published: people tap some tens of ms ahead of a click (Aschersleben 2002), mostly 20 to 80 ms, musicians less (Repp 2005)")
	switch cal.Habit {
	case drift.HabitUnknown, drift.HabitUnsteady, drift.HabitReacting:
		return res, errors.New("nothing was kept: these taps cannot be used")
	}
	if c.Name == "" {
		res.Lines = append(res.Lines, "not kept; give a name with --name NAME to use it with --person NAME")
		return res, nil
	}
	p := people.Person{Name: c.Name, BiasMS: milliseconds(cal.Bias), ScatterMS: milliseconds(cal.Scatter), Taps: cal.Used,
		Output: show.Clean(output), Measured: time.Now().Truncate(time.Second)}
	path, err := p.Save()
	if err != nil {
		return res, err
	}
	res.Lines = append(res.Lines, fmt.Sprintf("kept for %s: %s", c.Name, path))
	return res, nil
}

// milliseconds is d in tenths of a millisecond: no calibration is finer.
func milliseconds(d time.Duration) float64 {
	return float64(d.Round(100*time.Microsecond).Microseconds()) / 1000
}

// maxTaps bounds a taps file.
const maxTaps = 10_000

func readTapsFile(path string) ([]time.Duration, error) {
	f, err := os.Open(path)
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
