// Package evening holds the shows of one night, of which at most one is open at a
// time: a run with its own soundtrack, deck and log.
package evening

import (
	"context"
	"errors"
	"path/filepath"
	"sync"

	"drylane/playback/folder"
	"drylane/playback/inspect"
	"drylane/playback/rehearsal"
	"drylane/show"
	"drylane/show/check"
	"drylane/show/night"
)

// An Evening is the shows of a night.
type Evening struct {
	ctx     context.Context
	options rehearsal.Options
	folders []string
	lines   []Line // as they were at the start

	mu    sync.Mutex  // of what follows
	shows night.Night // a show that does not open is an empty one
	run   *rehearsal.Run
	stop  func() error
	over  bool
	said  []string // how each run went
	wrong []error
}

// New looks at every show once and keeps none of them open. A show that cannot be
// opened now may be put right before its turn comes. Runs end with ctx at the
// latest.
func New(ctx context.Context, folders []string, o rehearsal.Options) *Evening {
	v := &Evening{ctx: ctx, options: o, folders: folders}
	for _, dir := range folders {
		name := filepath.Base(dir)
		f, err := folder.Open(dir)
		if err != nil {
			v.lines = append(v.lines, Line{Title: show.Clean(name), Folder: show.Clean(dir), Problem: show.Clean(err.Error())})
			v.shows = append(v.shows, night.Entry{Show: &show.Show{}, Folder: name})
			continue
		}
		v.lines, v.shows = append(v.lines, lineOf(f, inspect.ReadLock(ctx, f))), append(v.shows, inspect.OpenForNight(ctx, f))
		f.Close()
	}
	return v
}

// Lines are the shows as they were at the start.
func (v *Evening) Lines() []Line { return v.lines }

// Between is what the shows took from each other at the start.
func (v *Evening) Between() check.Findings { return v.shows.Findings(v.shows.Conflicts()) }

// An Opened is a show whose run has begun: safe, and nothing sounds.
type Opened struct {
	Run     *rehearsal.Run
	Line    Line
	Between check.Findings // what the shows take from each other now
}

// Open opens a show as it is now and begins its run.
func (v *Evening) Open(i int) (*Opened, error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if v.over || v.run != nil {
		return nil, errors.New("another show is open, or the night is over")
	}
	f, err := folder.Open(v.folders[i])
	if err != nil {
		return nil, cleaned(err)
	}
	v.shows[i] = inspect.OpenForNight(v.ctx, f)
	conflicts := v.shows.Conflicts()
	o := v.options
	o.Stops = v.shows.Stops(conflicts, i)
	run, err := rehearsal.New(f, o)
	if err != nil {
		f.Close()
		return nil, cleaned(err)
	}
	v.run, v.stop = run, run.Go(v.ctx)
	return &Opened{run, lineOf(f, run.Lock(v.ctx)), v.shows.Findings(conflicts)}, nil
}

// cleaned is an error that may stand on the screen.
func cleaned(err error) error { return errors.New(show.Clean(err.Error())) }

// Close ends the run of the show that is open, if one is.
func (v *Evening) Close() error {
	v.mu.Lock()
	defer v.mu.Unlock()
	if v.run == nil {
		return nil
	}
	r := v.run
	v.run = nil
	sum, err := r.End(v.stop())
	r.Folder.Close()
	if err != nil {
		v.wrong = append(v.wrong, err)
		return cleaned(err)
	}
	v.said = append(v.said, sum.Text()+"session log: "+show.Clean(r.Log.Name())+"\n")
	if err := r.Log.Lost(); err != nil {
		v.wrong = append(v.wrong, err)
		return cleaned(err)
	}
	return nil
}

// End ends the night. said tells of every run in it that went well.
func (v *Evening) End() (said []string, err error) {
	v.mu.Lock()
	v.over = true
	v.mu.Unlock()
	v.Close() // its error is in wrong
	return v.said, errors.Join(v.wrong...)
}
