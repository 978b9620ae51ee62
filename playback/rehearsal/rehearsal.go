// Package rehearsal puts a run together from an opened show: the deck, the outputs
// it plays on, the companion tracks, the session log, and a drill if it is one.
package rehearsal

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"time"

	"drylane/playback/companion"
	"drylane/playback/crew"
	"drylane/playback/deck"
	"drylane/playback/disk"
	"drylane/playback/folder"
	"drylane/playback/inspect"
	"drylane/playback/people"
	"drylane/playback/sessions"
	"drylane/playback/sink"
	"drylane/show"
	"drylane/show/callplan"
	"drylane/show/report"
	"drylane/show/session"
)

// Options are what a run is put together from besides its show.
type Options struct {
	Out   sink.Place
	Bangs Bangs
	Listening
	Following Following

	Program string // name and version, for the log
	Log     string // the session log's path; empty for a new one in the user's data folder
	// Started is called with the path of the session log once that is there; nil for
	// nobody who wants to know.
	Started func(path string)
	Files   *disk.Writer // writes what is played into files; nil for one that knows of no other file
	Person  string       // who taps; empty when nobody is named

	Script  []show.ScriptStep   // drives the run; nil when a person does
	OnEntry func(session.Entry) // see deck.Config; a drill has its own
	Drill   *Exercise           // nil when this is no drill
	Field   *uint64             // the seed of the field board that the run begins with; nil for none
	Short   bool                // walks, repairs and the waiting time take seconds
	Crew    *Crew               // nil when nobody else takes part
	Stops   []string            // what else forbids arming, besides what the show itself does; a line each
}

// A Run is a run that has been put together. Nothing sounds until its Deck runs.
type Run struct {
	*folder.Folder
	Plan   *show.Plan
	Deck   *deck.Deck
	Log    *sessions.Log // of the session
	Person people.Person // who taps; without a name when nobody was named
	Drill  *Exercise
	Quiet  bool // the silent clock, for want of a device
	Short  bool // walks, repairs and the waiting time take seconds

	crew     *Crew      // nil: nobody else takes part
	gate     *crew.Gate // ... what stands between them and the deck
	places   []session.Place
	program  string
	followed *session.Follow // nil: the music is played here
	files    *disk.Writer
	sink     *sink.Sink
	beside   *sink.Sink // nil: nothing plays beside the music
	tracks   *companion.Streams
	unwatch  func()               // nil before the deck is there
	lock     *inspect.LockReading // nil before it is asked for
}

// New puts a run together.
func New(f *folder.Folder, o Options) (*Run, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	o.clockOnly()
	console := f.Show.Console
	guard, buffer := timing(console.Guard, o.Out.Latency)
	console.Guard = guard
	rate := f.Music.Rate()
	r := &Run{Folder: f, Drill: o.Drill, Short: o.Short, program: o.Program, Plan: show.NewPlan(f.Show.Cues, console, rate, f.Music.Info().Frames)}
	r.files = cmp.Or(o.Files, new(disk.Writer))
	folder.Keep(r.files, f.Path, f.Show)
	r.files.Keep("the session log itself", o.Log)
	o.Out.Files = r.files
	var err error
	if r.sink, err = o.Out.Sink(rate, buffer); err != nil {
		return nil, err
	}
	r.Quiet = r.sink.Quiet
	cfg := deck.Config{
		Plan: r.Plan, Cues: f.Show.Cues, Music: f.Music,
		Reopen: r.sink.Open, Silent: r.sink.Silent, Quiet: r.sink.Quiet,
		Sound: sounds(rate), BangGain: o.Bangs.gain(), Script: o.Script, OnEntry: o.OnEntry,
		Now: r.sink.Now, Speed: r.sink.Speed,
		Calls: callplan.NewWatch(f.Show, r.Plan), Checklist: console.Checklist, CountIn: time.Duration(console.CountIn) * deck.CountEvery,
	}
	if o.Drill == nil { // what is planted in a drill's list must not stop it
		music := f.Music.Info()
		cfg.Stops = ahead(func() []string { return append(inspect.Stops(f, music), o.Stops...) })
	}
	r.tracks = companion.NewStreams(f)
	if err := r.open(o, &cfg, buffer); err != nil {
		if cfg.Output != nil {
			cfg.Output.Close()
		}
		if cfg.Second != nil {
			cfg.Second.Output.Close()
		}
		if cfg.Leader != nil {
			cfg.Leader.Close()
		}
		r.finish(false)
		return nil, err
	}
	r.Deck = deck.New(cfg)
	r.unwatch = r.watch(watchEvery)
	return r, nil
}

// open opens the outputs, what is heard on them, and the session log. What it
// has opened when it fails is in cfg and r.
func (r *Run) open(o Options, cfg *deck.Config, buffer time.Duration) error {
	if err := r.follow(o, cfg); err != nil {
		return err
	}
	var err error
	if cfg.Output, err = r.sink.Open(); err != nil {
		return err
	}
	if err := r.listening(o, cfg, buffer); err != nil {
		return err
	}
	if r.Person, err = tapper(o.Person); err != nil {
		return err
	}
	header := header(r.Folder, r.Plan, cfg.Output, o.Program)
	header.Person = r.Person.Name
	r.withFollow(&header)
	cfg.LogCues = header.Cues
	r.withField(o, &header, cfg)
	r.withReady(o, &header, cfg)
	if r.Drill != nil {
		r.Drill.into(&header, cfg, o.Out.Where, r.sink)
	}
	if err := r.withCrew(o, &header, cfg); err != nil {
		return err
	}
	cfg.Log, r.Log, err = sessions.Create(o.Log, r.Show.Title, header)
	if err == nil && o.Started != nil {
		o.Started(r.Log.Name())
	}
	return err
}

// Lock is how the show stands to its lock. The files are read once, in the
// background, from the first call on and until its ctx ends.
func (r *Run) Lock(ctx context.Context) *inspect.LockReading {
	if r.lock == nil {
		r.lock = inspect.ReadLock(ctx, r.Folder)
	}
	return r.lock
}

// Uncalibrated is the name of the person who taps if their habit is not known, so
// that their taps count as they are; else it is empty.
func (r *Run) Uncalibrated() string {
	if r.Person.Taps == 0 {
		return r.Person.Name
	}
	return ""
}

// tapper returns the person whose taps are awaited, calibrated or not.
func tapper(name string) (people.Person, error) {
	if name == "" {
		return people.Person{}, nil
	}
	p, err := people.Find(name)
	var unknown *people.NotCalibrated
	if errors.As(err, &unknown) {
		return people.Person{Name: unknown.Name}, nil
	}
	return p, err
}

// End gives a run's sound its last form, closes the session log and sums the run
// up by that log, as every report of it does; err is how it went.
func (r *Run) End(err error) (report.Summary, error) {
	e := r.finish(err == nil)
	r.Log.Close()
	if err = cmp.Or(err, e); err != nil {
		return report.Summary{}, err
	}
	sheet, err := sessions.SheetOf(r.Log.Name(), r.Person)
	if err != nil {
		return report.Summary{}, fmt.Errorf("the run cannot be summed up: %w", err)
	}
	return sheet.Summary(), nil
}

// finish gives files that were played into their names if the run was good, and
// closes what only the run needed.
func (r *Run) finish(ok bool) error {
	if r.unwatch != nil {
		r.unwatch()
	}
	r.tracks.Close()
	err := r.sink.Finish(ok)
	if r.beside != nil {
		err = errors.Join(err, r.beside.Finish(ok))
	}
	return err
}

// ScriptTrouble is the error of a scripted run that did not go as written.
func (r *Run) ScriptTrouble() error {
	switch s := r.Deck.Snapshot(); {
	case s.Trouble && (s.Transport.State() == show.Held || s.Follow != nil && s.Transport.State() == show.Armed):
		return fmt.Errorf("the run was not finished: %s", s.Message.Text)
	case s.Refused > 0:
		return fmt.Errorf("%d of the script's steps were refused; the events say why", s.Refused)
	}
	return nil
}

// Go runs the deck in the background until ctx ends; stop ends it and returns how
// it went.
func (r *Run) Go(ctx context.Context) (stop func() error) {
	done := make(chan error, 1)
	go func() { done <- r.Deck.Run(ctx) }()
	return func() error {
		r.Deck.Quit()
		return <-done
	}
}
