package stage

import (
	"context"
	"strings"

	"drylane/playback/accents"
	"drylane/playback/calibration"
	"drylane/playback/companion"
	"drylane/playback/desk"
	"drylane/playback/rehearsal"
	"drylane/playback/sink"
	"drylane/show"
	"drylane/show/drill"
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
	Out  sink.Place // where the run sounds; sound check and calibration sound there too
}

// Open returns the console of a run, with what else can stand in its place. What
// it does in the background ends with ctx.
func Open(ctx context.Context, r *rehearsal.Run, o Options) *Screen {
	overview := rehearsal.NewOverview(r.Folder)
	reading, stopReading := context.WithCancel(ctx)
	read := make(chan struct{})
	go func() {
		overview.Build(reading)
		close(read)
	}()
	setup := setupOf(ctx, r, o)
	setup.Wave, setup.Overview, setup.StopOverview = overview.Wave, overview.Progress, stopReading
	setup.Changes = accents.InBackground(ctx, r.Folder, read)
	c := console.New(setup)
	return New(c,
		func() (soundcheck.Setup, error) { return openCheck(ctx, r, o.Out, c.Look) },
		func() (calibrate.Setup, error) { return openCalibrate(r, o.Out, o.Keys, c.Look) })
}

// OpenSpoken returns the console of a run as lines, beside which nothing is opened.
func OpenSpoken(ctx context.Context, r *rehearsal.Run, o Options) *console.Spoken {
	setup := setupOf(ctx, r, o)
	free := make(chan struct{}) // no waveform is read before
	close(free)
	setup.Changes = accents.InBackground(ctx, r.Folder, free)
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
		setup.Review = accents.Earlier(r.Folder, r.Plan)
		setup.Lock = r.Lock(ctx).Words
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
