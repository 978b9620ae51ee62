package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"time"

	"drylane/playback/deck"
	"drylane/playback/disk"
	"drylane/playback/synth"
	"drylane/show"
	"drylane/show/drift"
	"drylane/show/timebase"

	"github.com/charmbracelet/x/term"
)

type rehearseCmd struct {
	Dir  string   `arg:"" help:"The show folder, or a folder of shows." placeholder:"DIR"`
	More []string `arg:"" optional:"" help:"More of them: the shows of one night." placeholder:"DIR"`
	runFlags
}

// runFlags are the flags of everything that runs a show.
type runFlags struct {
	outFlags
	listenFlags
	consoleFlags
	Auto   string `placeholder:"SCRIPT" help:"A script that drives the run without a person."`
	Log    string `placeholder:"PATH" help:"Where the session log goes; default: the user's data folder."`
	JSON   bool   `help:"With --auto: print events and summary as JSON lines."`
	Person string `placeholder:"NAME" help:"Who taps: their calibration is applied and named in the log."`
}

func (rehearseCmd) Help() string {
	return listenHelp + "\n" + nightHelp + " The console then begins and ends with a list of them, and each keeps a session of its own; a script runs in each in turn.\n\n" +
		"Examples:\n\n  drylane rehearse shows/harbour\n  drylane rehearse shows\n  drylane rehearse shows/harbour --auto dry-run.txt --out silent --speed max\n\n" + show.ScriptHelp
}

func (r *rehearseCmd) Run(e *env) error {
	folders, err := showFolders(append([]string{r.Dir}, r.More...)...)
	if err != nil {
		return err
	}
	if len(folders) > 1 {
		return r.night(e, folders)
	}
	l, err := openFolder(folders[0])
	if err != nil {
		return err
	}
	defer l.music.Close()
	script, err := r.script(e)
	if err != nil {
		return err
	}
	return e.rehearse(l, r.runFlags, script)
}

// script reads what drives the run; nil when a person does.
func (f runFlags) script(e *env) ([]show.ScriptStep, error) {
	if f.Auto != "" {
		return readScript(f.Auto)
	}
	if !e.terminal() {
		return nil, errors.New("this is no terminal, so nobody can press keys; give the run a script with --auto SCRIPT")
	}
	return nil, nil
}

func readScript(path string) ([]show.ScriptStep, error) {
	f, err := disk.OpenText(path, "script")
	if err != nil {
		return nil, err
	}
	defer f.Close()
	steps, err := show.ParseScript(path, f)
	if err == nil && len(steps) == 0 {
		err = fmt.Errorf("%s: found no steps; wanted a script, such as \"+0 arm\" and \"+0 start\" on two lines", path)
	}
	return steps, err
}

// terminal reports whether a person sits at both ends.
func (e *env) terminal() bool {
	return term.IsTerminal(e.in.Fd()) && e.outFile != nil && term.IsTerminal(e.outFile.Fd())
}

// A rehearsal is a run that has been put together.
type rehearsal struct {
	*loaded
	plan   *show.Plan
	sink   *sink
	beside *sink // nil: nothing plays beside the music
	deck   *deck.Deck
	log    *os.File
	person person // who taps; without a name when nobody was named

	tracks *trackStreams
}

// rehearse runs a show: by the script if there is one, else on the console.
func (e *env) rehearse(l *loaded, f runFlags, script []show.ScriptStep) error {
	_, err := e.run(l, f, script)
	return err
}

// run is rehearse; it returns the path of the session log.
func (e *env) run(l *loaded, f runFlags, script []show.ScriptStep) (log string, err error) {
	printer := newPrinter(e.out, f.JSON, l.music.Rate())
	if script == nil {
		printer = nil
	}
	r, err := assemble(l, f, script, printer)
	if err != nil {
		return "", err
	}
	log = r.log.Name()
	defer r.log.Close()
	if script == nil {
		if l.drill != nil {
			defer l.drill.instructed(e, r)()
		}
		err = e.console(r, f)
	} else {
		for _, w := range l.warn {
			fmt.Fprintln(e.errOut, w)
		}
		if r.sink.quiet {
			fmt.Fprintln(e.errOut, noDevice)
		}
		err = r.deck.Run(e.ctx)
	}
	sum, err := r.end(err)
	switch {
	case err != nil:
	case printer != nil:
		if err = printer.summary(sum, log); err == nil {
			err = scriptTrouble(r.deck.Snapshot())
		}
	default:
		_, err = io.WriteString(e.out, sum.Text()+"session log: "+log+"\n")
	}
	return log, err
}

// end gives a run's sound its last form and sums the run up; err is how it
// went.
func (r *rehearsal) end(err error) (deck.Summary, error) {
	if e := r.finish(err == nil); err == nil {
		err = e
	}
	if err != nil {
		return deck.Summary{}, err
	}
	return deck.Summarise(r.deck.Snapshot(), r.show, r.person.habit()), nil
}

// finish gives files that were played into their names if the run was good, and
// closes what only the run needed.
func (r *rehearsal) finish(ok bool) error {
	r.tracks.close()
	err := r.sink.finish(ok)
	if r.beside != nil {
		err = errors.Join(err, r.beside.finish(ok))
	}
	return err
}

// assemble puts a run together; nothing sounds yet.
func assemble(l *loaded, f runFlags, script []show.ScriptStep, printer *printer) (*rehearsal, error) {
	guard, buffer := timing(l.show.Console.Guard, f.Latency)
	console := l.show.Console
	console.Guard = guard
	rate := l.music.Rate()
	r := &rehearsal{loaded: l, plan: show.NewPlan(l.show.Cues, console, rate, timebase.Frame(l.music.Len()))}
	err := f.outFlags.check()
	if err != nil {
		return nil, err
	}
	if r.sink, err = f.sink(rate, buffer); err != nil {
		return nil, err
	}
	cfg := deck.Config{
		Plan: r.plan, Cues: l.show.Cues, Music: l.music,
		Reopen: r.sink.open, Silent: r.sink.silent, Quiet: r.sink.quiet,
		Sound: reports(rate), ReportGain: f.gain(), Script: script, Now: r.sink.now, Speed: r.sink.speed,
	}
	r.tracks = newTrackStreams(l)
	if err := r.open(f, &cfg, buffer); err != nil {
		if cfg.Output != nil {
			cfg.Output.Close()
		}
		if cfg.Beside != nil {
			cfg.Beside.Output.Close()
		}
		r.finish(false)
		return nil, err
	}
	if printer != nil {
		cfg.OnEntry = printer.entry
	}
	r.deck = deck.New(cfg)
	return r, nil
}

// open opens the outputs, what is heard on them, and the session log. What it
// has opened when it fails is in cfg and r.
func (r *rehearsal) open(f runFlags, cfg *deck.Config, buffer time.Duration) error {
	var err error
	if cfg.Output, err = r.sink.open(); err != nil {
		return err
	}
	if err := r.listening(f, cfg, buffer); err != nil {
		return err
	}
	r.person, err = f.tapper()
	var unknown *notCalibrated
	if r.drill != nil && errors.As(err, &unknown) { // a trainee is scored with or without
		r.person, err = person{Name: unknown.name}, nil
	}
	if err != nil {
		return err
	}
	header := r.header(r.plan, cfg.Output)
	header.Person = r.person.Name
	cfg.LogCues = header.Cues
	if r.drill != nil {
		r.drill.into(&header, cfg, f, r.sink)
	}
	cfg.Log, r.log, err = openLog(f.Log, r.show.Title, header)
	return err
}

// scriptTrouble is the error of a scripted run that did not go as written.
func scriptTrouble(s *deck.Snapshot) error {
	switch {
	case s.Trouble && s.Transport.State() == show.Held:
		return fmt.Errorf("the run was not finished: %s", s.Message.Text)
	case s.Refused > 0:
		return fmt.Errorf("%d of the script's steps were refused; the events say why", s.Refused)
	}
	return nil
}

// tapper returns the person whose taps are awaited.
func (f runFlags) tapper() (person, error) {
	if f.Person == "" {
		return person{}, nil
	}
	return findPerson(f.Person)
}

// habit is what the drift analysis takes off a person's taps.
func (p person) habit() drift.Config { return drift.Config{Bias: p.bias()} }

// timing returns the guard and the longest device buffer that goes with it.
// What is committed must lie ahead of what the device holds, so a guard too
// short for the sound system is made longer.
func timing(guard, latency time.Duration) (time.Duration, time.Duration) {
	const least, most, ahead = 40 * time.Millisecond, 400 * time.Millisecond, 20 * time.Millisecond
	buffer := min(most, max(least, guard*2/3))
	return max(guard, buffer+max(0, latency)+ahead), buffer
}

// gain is the reports' gain on the left and the right.
func (o outFlags) gain() [2]float64 {
	g := math.Pow(10, o.Level/20)
	switch o.Reports {
	case "left":
		return [2]float64{g, 0}
	case "right":
		return [2]float64{0, g}
	case "off":
		return [2]float64{}
	}
	return [2]float64{g, g}
}

// reportKinds are the reports of the effect families.
var reportKinds = [show.FamilyCount]synth.Kind{
	show.FamilyOther: synth.Other, show.FamilyShell: synth.Shell, show.FamilySalute: synth.Salute,
	show.FamilyComet: synth.Comet, show.FamilyMine: synth.Mine, show.FamilyCandle: synth.Candle,
	show.FamilyCake: synth.Cake, show.FamilyFountain: synth.Fountain, show.FamilyFlame: synth.Flame,
}

// reports returns the sounds of the effect families, each made once.
func reports(rate int) func(show.Family) []float64 {
	var sounds [show.FamilyCount][]float64
	for f := range sounds {
		sounds[f] = synth.Report(reportKinds[f], rate)
	}
	return func(f show.Family) []float64 { return sounds[f] }
}
