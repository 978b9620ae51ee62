package main

import (
	"errors"
	"fmt"
	"strings"

	"drylane/show"
	"drylane/show/night"
	"drylane/tui"
)

// night rehearses several shows: by the script each in turn, else on the
// console in whatever order the person wants.
func (r *rehearseCmd) night(e *env, folders []string) error {
	if r.Log != "" {
		return fmt.Errorf("--log: found one path for %d shows; wanted none: each show keeps a session of its own in the user's data folder", len(folders))
	}
	if strings.HasPrefix(r.Out, "wav:") {
		return fmt.Errorf("--out wav: found one file for %d shows; wanted one show: a file holds one rehearsal", len(folders))
	}
	if _, where, _ := strings.Cut(r.Beside, "@"); strings.HasPrefix(where, "wav:") {
		return fmt.Errorf("--beside wav: found one file for %d shows; wanted one show: a file holds one rehearsal", len(folders))
	}
	script, err := r.script(e)
	switch {
	case err != nil:
		return err
	case r.Auto != "":
		return e.rehearseEach(folders, r.runFlags, script)
	}
	return e.consoleNight(folders, r.runFlags)
}

// rehearseEach runs the script in one show after the other. A run that goes
// wrong does not end the night; a show that cannot be opened keeps it from
// beginning.
func (e *env) rehearseEach(folders []string, f runFlags, script []show.ScriptStep) error {
	shows, err := openNight(folders)
	if err != nil {
		return err
	}
	defer closeNight(shows)
	var n night.Night
	for _, l := range shows {
		n = append(n, l.entry(e.ctx))
	}
	conflicts := n.Conflicts()
	for _, f := range n.Findings(conflicts) {
		fmt.Fprintln(e.errOut, f)
	}
	for i, l := range shows {
		if e.ctx.Err() != nil {
			break
		}
		if f.JSON {
			newPrinter(e.out, true, l.music).line(map[string]string{"show": l.show.Title, "folder": l.folder})
		} else {
			heading(e.out, i, len(shows), l.show.Title, folders[i])
		}
		l.night = n.Stops(conflicts, i)
		if one := e.rehearse(l, f, script); one != nil {
			err = errors.Join(err, fmt.Errorf("%s: %w", n.Names()[i], one))
		}
	}
	return err
}

// consoleNight is a night with a person at the keys: the list of its shows,
// and a console for each one that is opened.
func (e *env) consoleNight(folders []string, f runFlags) error {
	setup, err := f.list(e)
	if err != nil {
		return err
	}
	v := newEvening(e, f, folders)
	setup.Shows, setup.Between = v.lines, v.shows.Findings(v.shows.Conflicts())
	setup.Open, setup.Close = v.open, v.close
	err = tui.RunTerminal(e.ctx, tui.NewNight(setup), e.in, e.out)
	return errors.Join(err, v.end())
}

// list makes what the list of shows needs for its looks.
func (f consoleFlags) list(e *env) (tui.NightSetup, error) {
	conf, err := readConfig()
	if err != nil {
		return tui.NightSetup{}, err
	}
	look := f.look(e, conf)
	return tui.NightSetup{Theme: look.theme, Themes: look.themes, ASCII: look.ascii}, nil
}
