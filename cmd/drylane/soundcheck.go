package main

import (
	"context"
	"errors"
	"strings"
	"time"

	"drylane/playback/desk"
	"drylane/playback/folder"
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
	replaceFlag
	Over bool `help:"Let the gains pass 0 dB, up to +6 dB."`
}

func (soundcheckCmd) Help() string {
	return "Plays test signals and the show's own files, with a gain for each side. It starts no show: nothing is armed and no cue runs. " +
		"Start low, and warn everybody near the loudspeakers first.\n\n" + nightHelp + " Their files are listed show by show, each by its show's folder and its name.\n\nExamples:\n\n" +
		"  drylane soundcheck shows/harbour\n  drylane soundcheck shows/harbour --list\n  drylane soundcheck shows/harbour --play tone --for 3s --left=0 --right=0 --out wav:tone.wav"
}

func (s *soundcheckCmd) Run(e *env) error {
	folders, err := folder.List(append([]string{s.Dir}, s.More...)...)
	if err != nil {
		return err
	}
	l, err := desk.Open(folders)
	if err != nil {
		return err
	}
	if err := s.sound().Check(); err != nil {
		return err
	}
	switch {
	case s.List && s.Play != "":
		return errors.New("--list and --play: found both; wanted one of them")
	case s.List:
		return listLibrary(e, l)
	case s.Play != "":
		sound := s.sound()
		sound.Files = s.writer(e)
		for _, dir := range folders {
			folder.KeepIn(sound.Files, dir)
		}
		return playOnce(e, l, s.Play, s.For, sound)
	case s.For != 0:
		return errors.New("--for: found no --play; wanted what to play for that long")
	case strings.HasPrefix(s.Out, "wav:"):
		return errors.New("--out wav: found no --play; wanted what to write to the file")
	case !e.terminal():
		return errors.New("this is no terminal, so nobody can press keys; say what to play with --play, or use --list")
	}
	return e.checkConsole(l, s.sound(), s.consoleFlags)
}

// sound is what the flags ask for.
func (f soundFlags) sound() desk.Sound {
	return desk.Sound{Out: f.Out, Latency: f.Latency, Left: f.Left, Right: f.Right, Level: f.Level, Over: f.Over}
}

// checkConsole is the sound check with a person at the keys.
func (e *env) checkConsole(l *desk.Library, s desk.Sound, flags consoleFlags) error {
	look, err := flags.look(e)
	if err != nil {
		return err
	}
	setup, run, err := tuicheck.Open(l, s, look)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithCancel(e.ctx)
	defer cancel()
	done := make(chan struct{})
	go func() { run(ctx); close(done) }()
	err = screen.Run(ctx, tuicheck.New(setup), e.in, e.screen)
	setup.Desk.Quit()
	<-done
	return err
}
