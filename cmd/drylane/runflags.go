package main

import (
	"errors"
	"fmt"
	"time"

	"drylane/playback/disk"
	"drylane/playback/rehearsal"
	"drylane/playback/sessions"
	"drylane/playback/sink"
	"drylane/show"

	"github.com/charmbracelet/x/term"
)

// runFlags are the flags of everything that runs a show.
type runFlags struct {
	outFlags
	listenFlags
	followFlags
	consoleFlags
	crewFlags
	Auto string `placeholder:"SCRIPT" help:"A script that drives the run without a person."`
	Log  string `placeholder:"PATH" help:"Where the session log goes, a file that is not there yet; default: the user's data folder."`
	replaceFlag
	JSON   bool   `help:"With --auto: print events and summary as JSON lines."`
	Plain  bool   `help:"The console as lines of text, for a screen reader: the same keys, no picture and no escape sequence."`
	Keymap string `default:"" enum:",left,right,gloves" help:"Keys: of the left hand, of the right hand or for gloves (left, right, gloves); default: what config.toml says, else the console's own."`
	Person string `placeholder:"NAME" help:"Who taps: their calibration is applied and named in the log."`

	cacheFlag

	field *uint64 // the seed of the field board; nil for none
	short bool    // what takes minutes in the field takes seconds
}

// fieldFlag is the flag of what begins with a field board.
type fieldFlag struct {
	Field *uint64 `placeholder:"SEED" help:"Begin with the field board: what answers out there, with faults among it that the seed settles."`
}

// outFlags are the flags that say where the sound goes.
type outFlags struct {
	Out     string        `default:"auto" placeholder:"WHERE" help:"Where the sound goes: auto, device, device:NAME (Linux), silent or wav:PATH."`
	Speed   string        `default:"1" placeholder:"N" help:"Silent output only: N seconds of music a second, or max."`
	Latency time.Duration `placeholder:"TIME" help:"What the device does not tell of its latency, such as 180ms for a wireless speaker."`
	Bangs   string        `default:"both" enum:"both,left,right,off" aliases:"reports" help:"Where the cues' bangs sound: both, left, right or off."`
	Level   float64       `default:"-12" placeholder:"DB" help:"Level of the bangs in dB."`
}

// listenFlags are the flags that say which companion tracks are heard.
type listenFlags struct {
	Listen        string        `placeholder:"TRACK" help:"A companion track to hear in place of the music; on the console a key changes it."`
	Beside        string        `placeholder:"TRACK[@WHERE]" help:"A companion track to play beside the music, on an output of its own: WHERE as for --out."`
	BesideLatency time.Duration `placeholder:"TIME" help:"As --latency, for the output beside the music."`
}

// listenHelp tells how the companion tracks are heard.
const listenHelp = `Every [[track]] of the show can be heard in place of the music (--listen, and a key of the console) or beside it on a second output (--beside); "music" names the soundtrack itself. Both outputs hold and resume on one frame, and one frame sounds on both at one moment; when they have parted by more than 1 ms the second is put right, which the log tells. The bangs of the cues sound with the music only.

  drylane rehearse shows/harbour --beside beacon.wav@device:headphones
  drylane rehearse shows/harbour --listen timecode.wav --beside music@device:booth
`

// options are what the flags ask of a run; script is nil when a person drives it.
func (f runFlags) options(script []show.ScriptStep, files *disk.Writer) rehearsal.Options {
	return rehearsal.Options{
		Crew:      f.crew(),
		Out:       f.place(),
		Bangs:     rehearsal.Bangs{Side: f.Bangs, Level: f.Level},
		Listening: rehearsal.Listening{Listen: f.Listen, Beside: f.Beside, BesideLatency: f.BesideLatency},
		Following: f.following(),
		Program:   "drylane " + programVersion(), Log: f.Log, Files: files, Person: f.Person, Script: script, Field: f.field, Short: f.short,
		Started: sessions.Remember,
	}
}

// place is where the music goes.
func (f outFlags) place() sink.Place {
	return sink.Place{Where: f.Out, Speed: f.Speed, Latency: f.Latency}
}

// writer writes the files of a run.
func (f runFlags) writer(e *env) *disk.Writer {
	w := f.replaceFlag.writer(e)
	w.Keep("the session log itself", f.Log)
	w.Keep("the script itself", f.Auto)
	return w
}

// script reads what drives the run; nil when a person does.
func (f runFlags) script(e *env) ([]show.ScriptStep, error) {
	if f.Auto != "" {
		return readScript(f.Auto)
	}
	if !e.terminal() && !(f.Plain && e.keys()) {
		return nil, errors.New("this is no terminal, so nobody can press keys; give the run a script with --auto SCRIPT")
	}
	return nil, nil
}

func readScript(path string) ([]show.ScriptStep, error) {
	f, err := disk.OpenText(path, "script")
	if err != nil {
		return nil, err
	}
	defer f.Close()
	steps, err := show.ParseScript(path, f)
	if err == nil && len(steps) == 0 {
		err = fmt.Errorf("%s: found no steps; wanted a script, such as \"+0 arm\" and \"+0 start\" on two lines", path)
	}
	return steps, err
}

// keys reports whether a person can press keys, whoever reads what is said.
func (e *env) keys() bool { return term.IsTerminal(e.in.Fd()) }

// terminal reports whether a person sits at both ends.
func (e *env) terminal() bool {
	return term.IsTerminal(e.in.Fd()) && e.outFile != nil && term.IsTerminal(e.outFile.Fd())
}
