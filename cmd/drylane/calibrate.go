package main

import (
	"errors"
	"fmt"
	"time"

	"drylane/playback/calibration"
	"drylane/playback/people"
	"drylane/tui/calibrate"
	"drylane/tui/console"
	"drylane/tui/screen"
	"drylane/tui/settings"

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
	return "Finds out how early or late a person taps: people tap ahead of a beat, each by a habit of their own, and that would be taken for cues that are late. A key begins the clicks; listen to a few of them, then tap on each as you hear it, with the keys that tap in a show.\n\nExamples:\n\n  drylane calibrate --name Robin\n  drylane calibrate --taps taps.txt"
}

func (c calibrateCmd) Run(e *env) error {
	if c.Name != "" {
		if err := people.CheckName(c.Name); err != nil {
			return fmt.Errorf("--name: %w", err)
		}
	}
	switch {
	case c.Taps != "":
		res, err := calibration.FromFile(c.Name, c.Taps)
		return said(e, res, err)
	case !term.IsTerminal(e.in.Fd()):
		return errors.New("this is no terminal, so nobody can tap; give the taps with --taps FILE")
	}
	return c.listen(e)
}

// said prints what is said of the taps, whether they can be used or not.
func said(e *env, res calibration.Result, err error) error {
	for _, line := range res.Lines {
		if _, err := fmt.Fprintln(e.out, line); err != nil {
			return err
		}
	}
	return err
}

// listen plays the clicks to the person at the keys, and says what the taps
// told.
func (c calibrateCmd) listen(e *env) error {
	s, err := settings.Read()
	if err != nil {
		return err
	}
	keys, err := s.Keymap("")
	if err != nil {
		return err
	}
	look := s.Look(c.Theme, c.ASCII, e.outFile)
	taps, err := calibration.Open(c.Name, c.Out, c.Latency)
	if err != nil {
		return err
	}
	m := calibrate.New(calibrate.Setup{Run: taps.Run, Wanted: calibration.Wanted, Taps: keys.Of(console.ActTap), Output: taps.Output(), Look: look})
	if err := screen.Run(e.ctx, m, e.in, e.screen); err != nil {
		m.End()
		return err
	}
	res, err := m.End()
	return said(e, res, err)
}
