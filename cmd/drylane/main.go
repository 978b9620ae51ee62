// Command drylane rehearses a firework display that is fired to music. It is
// no firing system: it fires nothing and controls nothing.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"strings"
	"syscall"
	"time"

	"drylane/playback/cache"
	"drylane/show"
	"drylane/tui/screen"
	"drylane/tui/settings"

	"github.com/alecthomas/kong"
	"github.com/charmbracelet/x/term"
)

// The exit codes.
const (
	exitOK    = 0
	exitWrong = 1 // something that was given is wrong, or could not be done
	exitUsage = 2 // the command line does not read
)

// An env is what a command works in.
type env struct {
	ctx    context.Context
	in     *os.File
	out    io.Writer // for what is printed
	errOut io.Writer
	screen io.Writer // for what is drawn
	// outFile is out when it is a file, for asking whether it is a terminal.
	outFile *os.File
}

// errSilent ends a command with exitWrong when all has been said.
var errSilent = errors.New("")

// cli is the command line.
type cli struct {
	Demo       demoCmd       `cmd:"" help:"Rehearse the built-in demo show."`
	Rehearse   rehearseCmd   `cmd:"" help:"Rehearse a show folder on the console, or by a script."`
	New        newCmd        `cmd:"" help:"Write a small show folder to start from."`
	Check      checkCmd      `cmd:"" help:"Everything that can be known of a show before arming, and of the stick it goes out on."`
	Lock       lockCmd       `cmd:"" help:"Pin a show as it was rehearsed, so that every change since is seen."`
	Field      fieldCmd      `cmd:"" help:"When music and bangs reach the audience, and the shift of the cues that serves it best."`
	Print      printCmd      `cmd:"" help:"Crew sheets for each position."`
	Drill      drillCmd      `cmd:"" help:"Train the crew: rehearsals in which something goes wrong, with a score."`
	Progress   progressCmd   `cmd:"" help:"How a person's drills go on over time, and who of a crew is current."`
	Signoff    signoffCmd    `cmd:"" help:"Sign a session of a drill as its assessor, or list what was signed."`
	Replay     replayCmd     `cmd:"" help:"Run a session log's commands again and compare every firing."`
	Join       joinCmd       `cmd:"" help:"Take part in a rehearsal that another machine leads: at a position, as safety, spotter or listener."`
	Instruct   instructCmd   `cmd:"" help:"Watch a drill from a second terminal, speak on its radio and call faults."`
	Sessions   sessionsCmd   `cmd:"" help:"List the session logs with what each says."`
	Drift      driftCmd      `cmd:"" help:"Tell from a session's taps how late or early the cues are."`
	Report     reportCmd     `cmd:"" help:"The debrief of sessions: as text, a page of HTML or a table."`
	Places     placesCmd     `cmd:"" help:"After a cut: from where the show can start again, and what each place leaves loaded."`
	Closeout   closeoutCmd   `cmd:"" help:"After the show: what was commanded, what is still loaded, the search and its record."`
	Retime     retimeCmd     `cmd:"" help:"Write a new show folder with its cues moved against the music."`
	Calibrate  calibrateCmd  `cmd:"" help:"Measure how early or late a person taps."`
	Review     reviewCmd     `cmd:"" help:"Do the cues land on the music? Checks the cue list against the accents of the soundtrack."`
	Onsets     onsetsCmd     `cmd:"" help:"Print where things begin in a sound file."`
	Soundcheck soundcheckCmd `cmd:"" help:"Check the sound system: sides, levels, polarity and the show's files, without starting the show."`
	Info       infoCmd       `cmd:"" help:"Print what a sound file is: format, length, gapless figures, hashes."`
	Compare    compareCmd    `cmd:"" help:"Are two files the same music, and where does one lie against the other?"`
	Loudness   loudnessCmd   `cmd:"" help:"Measure loudness, peaks, clipping, balance and polarity of a sound file."`
	Import     importCmd     `cmd:"" help:"Make a show folder from a cue list of another program, or from markers."`
	Export     exportCmd     `cmd:"" help:"Write the cue list as CSV, or the music with the cues as markers."`
	Tracks     tracksCmd     `cmd:"" help:"Build the files for the field from the soundtrack: timecode, calls, pips, tones."`
	Timecode   timecodeCmd   `cmd:"" help:"Write linear timecode, or tell what a file carries."`
	Cache      cacheCmd      `cmd:"" help:"What is kept of sound files that were listened to: where, how much, and away with it."`
	Selftest   selftestCmd   `cmd:"" help:"Is this laptop fit for a rehearsal? Sound, timers, disk and terminal, and what to change."`
	Completion completionCmd `cmd:"" help:"Print what makes a shell complete commands, flags, sessions and drills."`
	Manual     manualCmd     `cmd:"" help:"Print the manual page."`
	Complete   completeCmd   `cmd:"" hidden:"" help:"Print what may stand where somebody types."`
	Version    versionCmd    `cmd:"" help:"Print the version."`
}

const description = `drylane is a rehearsal console for firework displays that are fired to music.

It is no firing system: it fires nothing and controls nothing. Distances, fallout areas, abort procedures and licences follow local law, the authority having jurisdiction and the licensed operator in charge.`

func main() { os.Exit(run(os.Args[1:])) }

// run is the whole program; it returns the exit code.
func run(args []string) (code int) {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	hurry()
	context.AfterFunc(ctx, stop) // a second signal ends the program at once
	defer endWithin(ctx, patience, os.Stderr, os.Exit)()
	e := &env{ctx: ctx, in: os.Stdin, screen: screen.Patient(ctx, os.Stdout), outFile: os.Stdout}
	e.out, e.errOut = printed(e.screen, os.Stdout), printed(screen.Patient(ctx, os.Stderr), os.Stderr)
	cache.Use(userCache())
	var c cli
	exited := -1
	parser := kong.Must(&c, kong.Name("drylane"), kong.Description(description),
		kong.Writers(e.out, e.errOut), kong.Exit(func(code int) { exited = code }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, WrapUpperBound: 90}),
		values(), kong.Bind(e))
	k, err := parser.Parse(args)
	if exited >= 0 { // help was asked for and has been shown
		return exited
	}
	if err != nil {
		sayUsage(e.errOut, err)
		return exitUsage
	}
	if err := k.Run(); err != nil {
		if err != errSilent {
			fmt.Fprintln(e.errOut, cleanLines(err.Error()))
		}
		return exitWrong
	}
	return exitOK
}

// hurry has less garbage collected until the first picture stands: lists are read that
// stay, and both cores are wanted.
func hurry() {
	usual := debug.SetGCPercent(400)
	time.AfterFunc(time.Second, func() { debug.SetGCPercent(usual) })
}

// printed returns what prints to w, which writes to f: in ASCII on a terminal that has
// no other characters, as it is into a file or a pipe.
func printed(w io.Writer, f *os.File) io.Writer {
	if term.IsTerminal(f.Fd()) && settings.ASCIIAlone() {
		return screen.Spelled(w)
	}
	return w
}

// cleanLines makes a message fit for a terminal, line by line: a file's name
// in it may hold anything.
func cleanLines(s string) string {
	lines := strings.Split(s, "\n")
	for i, line := range lines {
		lines[i] = show.Clean(line)
	}
	return strings.Join(lines, "\n")
}
