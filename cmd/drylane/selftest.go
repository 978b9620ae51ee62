package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"drylane/playback"
	laptop "drylane/playback/fitness"
	"drylane/playback/input"
	"drylane/playback/output"
	"drylane/playback/sessions"
	"drylane/show"
	"drylane/show/fitness"
	"drylane/tui/probe"
	"drylane/tui/screen"

	"github.com/charmbracelet/x/term"
	"github.com/muesli/termenv"
)

type selftestCmd struct {
	Out        string        `default:"device" placeholder:"WHERE" help:"What the clicks are played on: device, or device:NAME (Linux)."`
	For        time.Duration `default:"20s" placeholder:"TIME" help:"How long the sound is tried, 3s to 10m."`
	Microphone bool          `help:"Take the clicks in by the microphone in place of what the sound server hands to the device: it hears what the loudspeaker does."`
	JSON       bool          `help:"Print the figures as JSON, for whoever helps: no name of a person, a computer, a device or a folder is in it."`
}

func (selftestCmd) Help() string {
	return "Is this laptop fit for a rehearsal? Quiet clicks play for 20 s while the sound is taken in again, and timers, clock, disk and terminal are tried. A page of plain words says what is good, what has limits, and what to change; what could not be tried is said to be so. Exit code 1 where the laptop is not fit.\n\n" +
		"Have the loudspeakers low: the clicks are heard.\n\nExamples:\n\n  drylane selftest\n  drylane selftest --microphone\n  drylane selftest --json > selftest.json"
}

// Limits of how long the sound is tried.
const leastSelftest, mostSelftest = 3 * time.Second, 10 * time.Minute

func (c selftestCmd) Run(e *env) error {
	device, named := strings.CutPrefix(c.Out, "device:")
	switch {
	case c.For < leastSelftest || c.For > mostSelftest:
		return fmt.Errorf("--for: found %v; wanted %v to %v", c.For, leastSelftest, mostSelftest)
	case !named && c.Out != "device":
		return fmt.Errorf("--out: found %q; wanted device or device:NAME", c.Out)
	case !named:
		device = ""
	}
	f := &fitness.Figures{Program: "drylane " + programVersion(), System: runtime.GOOS + "/" + runtime.GOARCH, CPUs: runtime.NumCPU(), Untried: map[fitness.Part]string{}}
	if err := e.tryTerminal(f); err != nil {
		return err
	}
	if err := c.trySound(e, f, device); err != nil {
		return err
	}
	if err := e.tryDisk(f); err != nil {
		return err
	}
	v := fitness.Judge(f)
	if err := c.print(e, f, v); err != nil {
		return err
	}
	if v.Grade == fitness.Unfit {
		return errSilent
	}
	return nil
}

// print prints the page, or what goes to whoever helps.
func (c selftestCmd) print(e *env, f *fitness.Figures, v fitness.Verdict) error {
	if c.JSON {
		return printJSON(e.out, struct {
			fitness.Verdict
			Figures *fitness.Figures `json:"figures"`
		}{v, f})
	}
	head := fmt.Sprintf("%s, %s, %d processors\n", f.Program, f.System, f.CPUs)
	if f.Sound != nil {
		head += fmt.Sprintf("sound: %s\n", show.Clean(f.Sound.Name))
	}
	if _, err := io.WriteString(e.out, head+"\n"); err != nil {
		return err
	}
	return v.WriteText(e.out, e.width())
}

// tryDisk tries the folder of the session logs.
func (e *env) tryDisk(f *fitness.Figures) error {
	d, err := laptop.Disk(e.ctx, filepath.Dir(sessions.Dir()))
	switch {
	case e.ctx.Err() != nil:
		return errStopped
	case err != nil:
		fmt.Fprintln(e.errOut, cleanLines(err.Error()))
		f.Untried[fitness.PartDisk] = "nothing can be written in the user's data folder: rehearsals need --log PATH"
	}
	f.Disk = d
	return nil
}

var errStopped = errors.New("stopped: nothing was told")

// trySound plays, if there is something to play on, and tries timers and clock
// meanwhile.
func (c selftestCmd) trySound(e *env, f *fitness.Figures, device string) error {
	o := output.Options{Rate: laptop.Rate, Device: device, AppName: "drylane selftest"}
	r := &laptop.Run{Length: c.For}
	out, err := output.Device(o)
	switch {
	case err == nil:
		defer out.Close()
		r.Out, r.Server = out, laptop.ServerOf(out.Name())
		defer c.listen(e, f, r, o)()
	case device != "":
		return fmt.Errorf("--out: %w", err)
	default:
		fmt.Fprintln(e.errOut, cleanLines(err.Error()))
		f.Untried[fitness.PartSound] = "there is nothing to play on: rehearsals run by a silent clock"
		f.Untried[fitness.PartLoop] = "there is nothing to play on"
	}
	p := e.progress("listening")
	defer p.end()
	r.Tell = p.done
	switch err := r.Measure(e.ctx, f); {
	case errors.Is(err, context.Canceled):
		return errStopped
	case errors.Is(err, playback.ErrDeviceGone), errors.Is(err, playback.ErrDeviceSilent):
		f.Untried[fitness.PartSound] = strings.TrimSpace(err.Error())
		f.Untried[fitness.PartLoop] = "the device did not play to the end"
		return nil
	default:
		return err
	}
}

// listen opens what takes the clicks in, and returns what closes it.
func (c selftestCmd) listen(e *env, f *fitness.Figures, r *laptop.Run, o output.Options) (end func()) {
	r.By = fitness.Monitor
	if c.Microphone {
		r.By = fitness.Microphone
	}
	ear, err := input.Device(laptop.Listening(o, r.By))
	if err != nil {
		fmt.Fprintln(e.errOut, cleanLines(err.Error()))
		f.Untried[fitness.PartLoop] = fmt.Sprintf("no %s to take the clicks in: cannot tell whether the device tells its latency right", r.By)
		return func() {}
	}
	r.Ear = ear
	return func() { ear.Close() }
}

// tryTerminal asks the terminal, if a person is at one: also one that sees the page go
// into a file.
func (e *env) tryTerminal(f *fitness.Figures) error {
	var screenFile *os.File
	for _, w := range []*os.File{e.outFile, os.Stderr} {
		if screenFile == nil && w != nil && term.IsTerminal(w.Fd()) {
			screenFile = w
		}
	}
	if screenFile == nil || !term.IsTerminal(e.in.Fd()) {
		f.Untried[fitness.PartTerminal] = "this is no terminal"
		f.Untried[fitness.PartKeys] = "this is no terminal"
		return nil
	}
	old, err := term.MakeRaw(e.in.Fd())
	if err != nil {
		return fmt.Errorf("the terminal cannot be read key by key: %w", err)
	}
	defer term.Restore(e.in.Fd(), old)
	t := probe.New(e.in, screenFile)
	t.Characters, t.Colours = screen.Characters(), colours(termenv.NewOutput(screenFile).EnvColorProfile())
	if t.Columns, t.Rows, err = term.GetSize(screenFile.Fd()); err != nil {
		return fmt.Errorf("the terminal does not tell its size: %w", err)
	}
	if f.Terminal, err = t.Ask(e.ctx); err != nil {
		return errStopped
	}
	fmt.Fprint(screenFile, "Hold the key j down for two seconds; any other key passes this over. ")
	f.Terminal.Repeat = t.Repeat(e.ctx)
	fmt.Fprint(screenFile, "\r\x1b[K")
	if e.ctx.Err() != nil {
		return errStopped
	}
	return nil
}

// colours is how many a profile has.
func colours(p termenv.Profile) int {
	switch p {
	case termenv.TrueColor:
		return 1 << 24
	case termenv.ANSI256:
		return 256
	case termenv.ANSI:
		return 16
	}
	return 0
}
