package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"drylane/playback/evening"
	"drylane/playback/folder"
	"drylane/playback/inspect"
	"drylane/show"
	"drylane/show/night"
	tuinight "drylane/tui/night"
	"drylane/tui/screen"
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
	shows, err := folder.OpenAll(folders)
	if err != nil {
		return err
	}
	defer folder.CloseAll(shows)
	var n night.Night
	for _, l := range shows {
		n = append(n, inspect.OpenForNight(e.ctx, l))
	}
	for _, f := range n.Findings(n.Conflicts()) {
		fmt.Fprintln(e.errOut, f)
	}
	for i, l := range shows {
		if e.ctx.Err() != nil {
			break
		}
		if f.JSON {
			newPrinter(e.out, true, l.Music.Rate()).line(map[string]string{"show": l.Show.Title, "folder": l.Path})
		} else {
			heading(e.out, i, len(shows), l.Show.Title, folders[i])
		}
		if _, one := e.run(l, f, f.writer(e), script, nil); one != nil {
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
	v := evening.New(e.ctx, folders, f.options(nil, f.writer(e)))
	setup.Shows, setup.Between = v.Lines(), v.Between()
	setup.Open = func(i int) (tuinight.Run, error) {
		o, err := v.Open(i)
		if err != nil {
			return tuinight.Run{}, err
		}
		m, err := e.stage(e.ctx, o.Run, f)
		if err != nil {
			v.Close()
			return tuinight.Run{}, err
		}
		m.Stops = append(m.Stops, o.Stops...)
		return tuinight.Run{Stage: m, Show: o.Line, Between: o.Between}, nil
	}
	setup.Close = v.Close
	err = screen.Run(e.ctx, tuinight.New(setup), e.in, e.out)
	said, wrong := v.End()
	if _, e := io.WriteString(e.out, strings.Join(said, "\n")); err == nil {
		err = e
	}
	return errors.Join(err, wrong)
}

// list makes what the list of shows needs for its looks.
func (f consoleFlags) list(e *env) (tuinight.Setup, error) {
	conf, err := readConfig()
	if err != nil {
		return tuinight.Setup{}, err
	}
	look := f.look(e, conf)
	return tuinight.Setup{Theme: look.theme, Themes: look.themes, ASCII: look.ascii}, nil
}
