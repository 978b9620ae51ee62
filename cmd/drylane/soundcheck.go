package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"drylane/playback"
	"drylane/playback/desk"
	"drylane/playback/disk"
	"drylane/show"
	"drylane/tui/screen"
	tuicheck "drylane/tui/soundcheck"
)

type soundcheckCmd struct {
	Dir  string   `arg:"" help:"The show folder, or a folder of shows." placeholder:"DIR"`
	More []string `arg:"" optional:"" help:"More of them: the shows of one night." placeholder:"DIR"`
	soundFlags
	consoleFlags
	List bool          `help:"List the show's sound files with their format, length and loudness; fails if one cannot be played."`
	Play string        `placeholder:"WHAT" help:"Play one thing without a person: left, right, sides, polarity, pink, tone, or a file of the show."`
	For  time.Duration `placeholder:"TIME" help:"With --play: for how long, such as 3s; default: 10s of a test signal, all of a file."`
}

// soundFlags are the flags of the sound in a sound check.
type soundFlags struct {
	Out     string        `default:"auto" placeholder:"WHERE" help:"Where the sound goes: auto, device, silent or, with --play, wav:PATH."`
	Latency time.Duration `placeholder:"TIME" help:"What the device does not tell of its latency, such as 180ms for a wireless speaker."`
	Left    float64       `default:"-20" placeholder:"DB" help:"Gain of the left side at the start, -60 to 0, as in --left=-12."`
	Right   float64       `default:"-20" placeholder:"DB" help:"Gain of the right side at the start."`
	Level   float64       `default:"-18" placeholder:"DBFS" help:"Level of the test signals, -60 to 0."`
	Over    bool          `help:"Let the gains pass 0 dB, up to +6 dB."`
}

func (soundcheckCmd) Help() string {
	return "Plays test signals and the show's own files, with a gain for each side. It starts no show: nothing is armed and no cue runs. " +
		"Start low, and warn everybody near the loudspeakers first.\n\n" + nightHelp + " Their files are listed show by show, each by its show's folder and its name.\n\nExamples:\n\n" +
		"  drylane soundcheck shows/harbour\n  drylane soundcheck shows/harbour --list\n  drylane soundcheck shows/harbour --play tone --for 3s --left=0 --right=0 --out wav:tone.wav"
}

func (s *soundcheckCmd) Run(e *env) error {
	folders, err := showFolders(append([]string{s.Dir}, s.More...)...)
	if err != nil {
		return err
	}
	c, err := openChecks(folders)
	if err != nil {
		return err
	}
	if err := s.soundFlags.check(); err != nil {
		return err
	}
	switch {
	case s.List && s.Play != "":
		return errors.New("--list and --play: found both; wanted one of them")
	case s.List:
		return c.list(e)
	case s.Play != "":
		return c.playOnce(e, s.Play, s.For, s.soundFlags)
	case s.For != 0:
		return errors.New("--for: found no --play; wanted what to play for that long")
	case strings.HasPrefix(s.Out, "wav:"):
		return errors.New("--out wav: found no --play; wanted what to write to the file")
	case !e.terminal():
		return errors.New("this is no terminal, so nobody can press keys; say what to play with --play, or use --list")
	}
	return c.console(e, s.soundFlags, s.consoleFlags)
}

// check refuses levels that the desk would quietly change.
func (f soundFlags) check() error {
	most := desk.MostGain
	if f.Over {
		most = desk.OverGain
	}
	for _, v := range []struct {
		flag        string
		db          float64
		least, most desk.Half
	}{
		{"--left", f.Left, desk.LeastGain, most},
		{"--right", f.Right, desk.LeastGain, most},
		{"--level", f.Level, desk.LeastLevel, 0},
	} {
		if !(v.db >= v.least.DB() && v.db <= v.most.DB()) {
			hint := ""
			if v.flag != "--level" && !f.Over {
				hint = " (6 with --over)"
			}
			return fmt.Errorf("%s: found %g; wanted %g to %g dB%s", v.flag, v.db, v.least.DB(), v.most.DB(), hint)
		}
	}
	return nil
}

// A soundcheck is a show folder as far as its sound goes.
type soundcheck struct {
	title   string
	fsys    fs.FS
	sources []desk.Source
	files   []desk.File
	warn    []string
}

// openCheck opens a show folder for a sound check. A show that cannot be run,
// or whose files are missing, can be checked all the same.
func openCheck(dir string) (*soundcheck, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, fmt.Errorf("%s: found no show folder; wanted a folder with show.toml and what it names (%w)", dir, disk.Plain(err))
	}
	s, problems := show.Read(root.FS())
	if s == nil {
		return nil, problems
	}
	c := newCheck(s, root.FS(), dir)
	if problems.Stop() {
		c.warn = append(c.warn, fmt.Sprintf("%d problems in its files, so it cannot be run as it is", len(problems)))
	}
	return c, nil
}

// newCheck is openCheck for a show that has been read.
func newCheck(s *show.Show, fsys fs.FS, folder string) *soundcheck {
	c := &soundcheck{title: s.Title, fsys: fsys}
	if abs, err := filepath.Abs(folder); err == nil && c.title == "" {
		c.title = show.Clean(filepath.Base(abs))
	}
	c.files = desk.Survey(s, c.open)
	c.sources = desk.Sources(c.files)
	return c
}

// open opens a sound file of the show folder.
func (c *soundcheck) open(name string) (*playback.Soundtrack, error) {
	f, err := c.fsys.Open(name)
	if err != nil {
		return nil, &playback.OpenError{Name: name, Found: "cannot be opened", Err: disk.Plain(err)}
	}
	r, ok := f.(interface {
		io.ReadSeeker
		io.Closer
	})
	if !ok {
		f.Close()
		return nil, &playback.OpenError{Name: name, Found: "is not a file"}
	}
	return playback.Open(name, r)
}

// rate is that of the test signals: the soundtrack's, so that the device need
// not change, or a usual one.
func (c *soundcheck) rate() int {
	if len(c.files) > 0 && c.files[0].Problem == "" {
		return c.files[0].Info.Rate
	}
	return 48000
}

// find returns the source that --play names.
func (c *soundcheck) find(what string) (int, error) {
	i := slices.IndexFunc(c.sources, func(s desk.Source) bool {
		return s.File == nil && s.Signal.ID() == what || s.File != nil && s.File.Name == what
	})
	if i >= 0 {
		return i, nil
	}
	var names []string
	for _, s := range c.sources {
		if s.File == nil {
			names = append(names, s.Signal.ID())
		} else {
			names = append(names, s.Title())
		}
	}
	return 0, fmt.Errorf("--play: found %q; wanted one of: %s", what, strings.Join(names, ", "))
}

// desk returns a desk that plays sources on out.
func (c *soundcheck) desk(sources []desk.Source, out *checkOut) *desk.Desk {
	f := out.flags
	return desk.New(desk.Config{
		Sources: sources, Open: c.open, Output: out.open, Rate: out.rate, Now: out.first.now,
		Gain: [2]desk.Half{desk.Halves(f.Left), desk.Halves(f.Right)}, Level: desk.Halves(f.Level), Over: f.Over,
	})
}

// console is the sound check with a person at the keys.
func (c *soundcheck) console(e *env, f soundFlags, look consoleFlags) error {
	setup, run, err := c.setup(e, f, look)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithCancel(e.ctx)
	defer cancel()
	done := make(chan struct{})
	go func() { run(ctx); close(done) }()
	err = screen.Run(ctx, tuicheck.New(setup), e.in, e.out)
	setup.Desk.Quit()
	<-done
	return err
}

// setup gets a sound check ready for the screen; run plays it until it is quit.
func (c *soundcheck) setup(e *env, f soundFlags, flags consoleFlags) (setup tuicheck.Setup, run func(context.Context), err error) {
	conf, err := readConfig()
	if err != nil {
		return setup, nil, err
	}
	out, err := newCheckOut(f, c.rate())
	if err != nil {
		return setup, nil, err
	}
	d := c.desk(c.sources, out)
	return tuicheck.Setup{
		Title: c.title, Desk: d, Sources: c.sources, Look: flags.look(e, conf),
		Quiet: out.first.quiet || f.Out == "silent", Warn: c.warn,
	}, func(ctx context.Context) { d.Run(ctx); out.close() }, nil
}
