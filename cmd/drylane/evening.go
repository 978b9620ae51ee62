package main

import (
	"errors"
	"io"
	"path/filepath"
	"slices"
	"sync"

	"drylane/show"
	"drylane/show/lock"
	"drylane/show/night"
	"drylane/tui"
)

// An evening is the shows of a night, of which at most one is open: a run with
// its own soundtrack, deck and log.
type evening struct {
	e       *env
	flags   runFlags
	folders []string
	lines   []tui.NightShow // as they were at the start

	mu    sync.Mutex  // of what follows
	shows night.Night // a show that does not open is an empty one
	run   *rehearsal  // nil while no show is open
	stop  func() error
	over  bool
	said  []string // how each run went
	wrong []error
}

// newEvening looks at every show once and keeps none of them open. A show that
// cannot be opened now may be put right before its turn comes.
func newEvening(e *env, f runFlags, folders []string) *evening {
	v := &evening{e: e, flags: f, folders: folders}
	for _, dir := range folders {
		name := filepath.Base(dir)
		l, err := openFolder(dir)
		if err != nil {
			v.lines = append(v.lines, tui.NightShow{Title: show.Clean(name), Folder: show.Clean(dir), Problem: show.Clean(err.Error())})
			v.shows = append(v.shows, night.Entry{Show: &show.Show{}, Folder: name})
			continue
		}
		v.lines, v.shows = append(v.lines, l.line()), append(v.shows, l.entry(e.ctx))
		l.music.Close()
	}
	return v
}

// line is an opened show in the list of a night.
func (l *loaded) line() tui.NightShow {
	return tui.NightShow{
		Title: l.show.Title, Folder: show.Clean(l.folder), Length: l.music.Info().Duration(), Cues: len(l.show.Cues),
		Soundtrack: show.Clean(l.show.Soundtrack.File), Lock: l.lockLook(), LockWords: lockState(l),
	}
}

func (l *loaded) lockLook() tui.LockLook {
	switch f := l.lockFacts(); {
	case f.Open != "":
		return tui.LockBroken
	case f.Lock == nil:
		return tui.LockNone
	case slices.ContainsFunc(f.Changes, func(c lock.Change) bool { return !c.Harmless }):
		return tui.LockChanged
	}
	return tui.LockSame
}

// open opens a show as it is now and begins its run.
func (v *evening) open(i int) (tui.NightRun, error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if v.over || v.run != nil {
		return tui.NightRun{}, errors.New("another show is open, or the night is over")
	}
	l, err := openFolder(v.folders[i])
	if err != nil {
		return tui.NightRun{}, cleaned(err)
	}
	v.shows[i] = l.entry(v.e.ctx)
	conflicts := v.shows.Conflicts()
	l.night = v.shows.Stops(conflicts, i)
	stage, err := v.begin(l)
	if err != nil {
		l.music.Close()
		return tui.NightRun{}, cleaned(err)
	}
	return tui.NightRun{Stage: stage, Show: l.line(), Between: v.shows.Findings(conflicts)}, nil
}

// begin begins the run of an opened show.
func (v *evening) begin(l *loaded) (*tui.Stage, error) {
	run, err := assemble(l, v.flags, nil, nil)
	if err != nil {
		return nil, err
	}
	stage, stop, err := v.e.stage(run, v.flags)
	if err != nil {
		run.deck.Quit()
		run.deck.Run(v.e.ctx) // closes output and log
		run.finish(false)
		run.log.Close()
		return nil, err
	}
	v.run, v.stop = run, stop
	return stage, nil
}

// cleaned is an error that may stand on the screen.
func cleaned(err error) error { return errors.New(show.Clean(err.Error())) }

// close ends the run of the show that is open, if one is.
func (v *evening) close() error {
	v.mu.Lock()
	defer v.mu.Unlock()
	if v.run == nil {
		return nil
	}
	r := v.run
	v.run = nil
	sum, err := r.end(v.stop())
	r.log.Close()
	r.music.Close()
	if err != nil {
		v.wrong = append(v.wrong, err)
		return cleaned(err)
	}
	v.said = append(v.said, sum.Text()+"session log: "+r.log.Name()+"\n")
	return nil
}

// end ends the night and tells of every run in it.
func (v *evening) end() error {
	v.mu.Lock()
	v.over = true
	v.mu.Unlock()
	v.close() // its error is in wrong
	for i, text := range v.said {
		if i > 0 {
			text = "\n" + text
		}
		if _, err := io.WriteString(v.e.out, text); err != nil {
			return err
		}
	}
	return errors.Join(v.wrong...)
}
