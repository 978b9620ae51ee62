package stage

import (
	"context"
	"strings"
	"sync"
	"time"

	"drylane/playback/accents"
	"drylane/playback/calibration"
	"drylane/playback/companion"
	"drylane/playback/crew"
	"drylane/playback/desk"
	"drylane/playback/rehearsal"
	"drylane/playback/sink"
	"drylane/show"
	"drylane/show/drill"
	"drylane/show/timebase"
	"drylane/tui/calibrate"
	"drylane/tui/console"
	"drylane/tui/screen"
	"drylane/tui/settings"
	"drylane/tui/soundcheck"
)

// Options are what a run's console is opened with.
type Options struct {
	screen.Look
	Keys *screen.Keymap
	Crew *crew.Lead // who takes part from other machines; nil: nobody
	Out  sink.Place // where the run sounds; sound check and calibration sound there too
}

// Open returns the console of a run, with what else can stand in its place. What
// it does in the background ends with ctx.
func Open(ctx context.Context, r *rehearsal.Run, o Options) *Screen {
	overview := rehearsal.NewOverview(r.Folder)
	reading, stopReading := context.WithCancel(ctx)
	marks, review := reviewOf(r)
	changes := accents.InBackground(r.Folder)
	// The reading takes all cores: until the first picture asks for it, they make that.
	over := make(chan struct{})
	read := sync.OnceFunc(func() {
		marks()
		go func() {
			overview.Build(reading, changes.Wishes()...)
			close(over)
		}()
	})
	setup := setupOf(ctx, r, o)
	setup.Wave = func(from, to timebase.Frame) (peak, rms [2]float32, ok bool) {
		read()
		return overview.Wave(from, to)
	}
	setup.Overview = func() (float64, time.Duration) {
		read()
		return overview.Progress()
	}
	go changes.Go(ctx, over)
	setup.StopOverview, setup.Review, setup.Changes = stopReading, review, changes.Known
	c := console.New(setup)
	return New(c,
		func() (soundcheck.Setup, error) { return openCheck(ctx, r, o.Out, c.Look) },
		func() (calibrate.Setup, error) { return openCalibrate(r, o.Out, o.Keys, c.Look) })
}

// reviewOf is what an earlier review found of a run's music, from start on. A drill has
// none: nothing may give away what is planted.
func reviewOf(r *rehearsal.Run) (start func(), marks func() *accents.Marks) {
	if r.Drill != nil {
		return func() {}, nil
	}
	return accents.Earlier(r.Folder, r.Plan)
}

// OpenSpoken returns the console of a run as lines, beside which nothing is opened.
func OpenSpoken(ctx context.Context, r *rehearsal.Run, o Options) *console.Spoken {
	setup := setupOf(ctx, r, o)
	start, review := reviewOf(r)
	start()
	over := make(chan struct{}) // no waveform is read
	close(over)
	changes := accents.InBackground(r.Folder)
	go changes.Go(ctx, over)
	setup.Review, setup.Changes = review, changes.Known
	return console.NewSpoken(setup)
}

// setupOf is all of a run's console but the music that it draws.
func setupOf(ctx context.Context, r *rehearsal.Run, o Options) console.Setup {
	setup := console.Setup{
		Show: r.Show, Plan: r.Plan, Run: r.Deck, Keys: o.Keys, Look: o.Look,
		LogMoved: r.Log.MovedTo, First: settings.FirstRun(), FirstSeen: settings.FirstSeen,
		Tapper: r.Person.Habit(), Uncalibrated: show.Clean(r.Uncalibrated()), Timecode: companion.TimecodeOf(r.Show, r.Plan.Rate, r.Plan.Length),
	}
	setup.Day = r.Short
	if r.Drill != nil { // nothing may give away what is planted
		setup.Brief = &console.Briefing{Text: r.Drill.Briefing(), Foot: drill.Caution}
		setup.Crew = r.Drill.Drill.InField(r.Show)
	} else {
		setup.Lock = r.Lock(ctx).Words
	}
	if o.Crew != nil {
		setup.Others = o.Crew
	}
	return setup
}

// openCheck opens the sound check beside a show that is safe.
func openCheck(ctx context.Context, r *rehearsal.Run, out sink.Place, look screen.Look) (soundcheck.Setup, error) {
	where := out.Where
	if strings.HasPrefix(where, "wav:") {
		where = "silent" // the file is the rehearsal's
	}
	sound := desk.Sound{Out: where, Latency: out.Latency, Left: desk.LowGain.DB(), Right: desk.LowGain.DB(), Level: desk.StartLevel.DB()}
	setup, run, err := soundcheck.Open(desk.NewLibrary(r.Show, r.Files, r.Path), sound, look)
	if err == nil {
		go run(ctx)
	}
	return setup, err
}

// openCalibrate opens the calibration beside a show that is safe. What it finds
// holds for the taps that follow, and is kept if the run names a person.
func openCalibrate(r *rehearsal.Run, out sink.Place, keys *screen.Keymap, look screen.Look) (calibrate.Setup, error) {
	where := out.Where
	if where != "device" {
		where = "auto"
	}
	taps, err := calibration.Open(r.Person.Name, where, out.Latency)
	if err != nil {
		return calibrate.Setup{}, err
	}
	return calibrate.Setup{Run: taps.Run, Wanted: calibration.Wanted, Taps: keys.Of(console.ActTap), Output: taps.Output(), Look: look}, nil
}
