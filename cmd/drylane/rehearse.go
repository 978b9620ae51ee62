package main

import (
	"errors"
	"fmt"
	"io"

	"drylane/playback/disk"
	"drylane/playback/folder"
	"drylane/playback/rehearsal"
	"drylane/playback/sink"
	"drylane/show"
)

type rehearseCmd struct {
	Dir  string   `arg:"" help:"The show folder, or a folder of shows." placeholder:"DIR"`
	More []string `arg:"" optional:"" help:"More of them: the shows of one night." placeholder:"DIR"`
	runFlags
	fieldFlag
}

func (rehearseCmd) Help() string {
	return listenHelp + "\n" + followHelp + "\n" + nightHelp + " The console then begins and ends with a list of them, and each keeps a session of its own; a script runs in each in turn.\n\n" +
		"Examples:\n\n  drylane rehearse shows/harbour\n  drylane rehearse shows\n  drylane rehearse shows/harbour --auto dry-run.txt --out silent --speed max\n\n" + show.ScriptHelp
}

func (r *rehearseCmd) Run(e *env) error {
	r.field = r.Field
	folders, err := folder.List(append([]string{r.Dir}, r.More...)...)
	if err != nil {
		return err
	}
	if len(folders) > 1 {
		return r.night(e, folders)
	}
	l, err := folder.Open(folders[0])
	if err != nil {
		return err
	}
	defer l.Close()
	script, err := r.script(e)
	if err != nil {
		return err
	}
	_, err = e.run(l, r.runFlags, r.writer(e), script, nil)
	return err
}

// run runs a show, or a drill on it: by the script if there is one, else on the
// console. stops are what the other shows of the night forbid. It returns the path
// of the session log. Where that vanished during the run and is elsewhere, all is
// done as ever and the error is a *sessions.LostError.
func (e *env) run(l *folder.Folder, f runFlags, files *disk.Writer, script []show.ScriptStep, drill *rehearsal.Exercise, stops ...string) (log string, err error) {
	o := f.options(script, files)
	o.Drill, o.Stops = drill, stops
	var p *printer
	if script != nil {
		p = newPrinter(e.out, f.JSON, l.Music)
		o.OnEntry = p.entry
	}
	r, err := rehearsal.New(l, o)
	if err != nil {
		return "", err
	}
	lead, err := e.letCrewIn(r, f, files)
	if err != nil {
		_, e := r.End(err)
		return "", e
	}
	defer lead.Close()
	if name := r.Uncalibrated(); name != "" && drill == nil {
		fmt.Fprintf(e.errOut, "warn: %s is not calibrated, so taps count as they are; drylane calibrate --name %q measures it\n", name, name)
	}
	if script == nil {
		err = e.console(r, f, lead)
	} else {
		e.warn(r)
		err = r.Deck.Run(e.ctx)
	}
	sum, err := r.End(err)
	log = r.Log.Name()
	switch {
	case err != nil:
	case script != nil:
		if err = p.summary(sum, log); err == nil {
			err = r.ScriptTrouble()
		}
	default:
		_, err = io.WriteString(e.out, sum.Text()+"session log: "+show.Clean(log)+"\n")
	}
	return log, errors.Join(err, r.Log.Lost())
}

// warn says what is worth saying before a scripted run.
func (e *env) warn(r *rehearsal.Run) {
	for _, w := range r.Warnings {
		fmt.Fprintln(e.errOut, w)
	}
	if r.Quiet {
		fmt.Fprintln(e.errOut, sink.NoDevice)
	}
}
