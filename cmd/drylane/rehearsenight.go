package main

import (
	"context"
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
	"drylane/tui/stage"
)

// night rehearses several shows: by the script each in turn, else on the
// console in whatever order the person wants.
func (r *rehearseCmd) night(e *env, folders []string) error {
	if r.Log != "" {
		return fmt.Errorf("--log: found one path for %d shows; wanted none: each show keeps a session of its own in the user's data folder", len(folders))
	}
	if r.Follow != "" {
		return fmt.Errorf("--follow: found one timecode for %d shows; wanted one show", len(folders))
	}
	if r.Crew {
		return fmt.Errorf("--crew: found %d shows; wanted one: a crew takes part in one rehearsal", len(folders))
	}
	if strings.HasPrefix(r.Out, "wav:") {
		return fmt.Errorf("--out wav: found one file for %d shows; wanted one show: a file is of one rehearsal", len(folders))
	}
	if _, where, _ := strings.Cut(r.Beside, "@"); strings.HasPrefix(where, "wav:") {
		return fmt.Errorf("--beside wav: found one file for %d shows; wanted one show: a file is of one rehearsal", len(folders))
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
	conflicts := n.Conflicts()
	for _, f := range n.Findings(conflicts) {
		fmt.Fprintln(e.errOut, f)
	}
	for i, l := range shows {
		if e.ctx.Err() != nil {
			break
		}
		if f.JSON {
			newPrinter(e.out, true, l.Music).line(map[string]string{"show": l.Show.Title, "folder": l.Path})
		} else {
			heading(e.out, i, len(shows), l.Show.Title, folders[i])
		}
		if _, one := e.run(l, f, f.writer(e), script, nil, n.Stops(conflicts, i)...); one != nil {
			err = errors.Join(err, fmt.Errorf("%s: %w", n.Names()[i], one))
		}
	}
	return err
}

// consoleNight is a night with a person at the keys: the list of its shows,
// and a console for each one that is opened.
func (e *env) consoleNight(folders []string, f runFlags) error {
	o, err := f.stageOptions(e)
	if err != nil {
		return err
	}
	files := f.writer(e)
	files.Wrote = nil // the screen is there
	v := evening.New(e.ctx, folders, f.options(nil, files))
	cancel := context.CancelFunc(func() {})
	setup := tuinight.Setup{
		Look: o.Look, Shows: v.Lines(), Between: v.Between(),
		Open: func(i int) (tuinight.Run, error) {
			opened, err := v.Open(i)
			if err != nil {
				return tuinight.Run{}, err
			}
			ctx, stop := context.WithCancel(e.ctx)
			cancel = stop
			return nightRun(ctx, opened, o, f.Plain), nil
		},
		Close: func() error {
			defer cancel()
			return v.Close()
		},
	}
	if f.Plain {
		err = screen.Speak(e.ctx, tuinight.NewSpoken(setup), e.in, e.screen, e.lineEnd())
	} else {
		err = screen.Run(e.ctx, tuinight.New(setup), e.in, e.screen)
	}
	said, wrong := v.End()
	if _, e := io.WriteString(e.out, strings.Join(said, "\n")); err == nil {
		err = e
	}
	return errors.Join(err, wrong)
}

// nightRun is the console of a show that has been opened: as lines, or the picture.
func nightRun(ctx context.Context, opened *evening.Opened, o stage.Options, lines bool) tuinight.Run {
	run := tuinight.Run{Show: opened.Line, Between: opened.Between}
	if lines {
		run.Spoken = stage.OpenSpoken(ctx, opened.Run, o)
	} else {
		run.Stage = stage.Open(ctx, opened.Run, o)
	}
	return run
}
