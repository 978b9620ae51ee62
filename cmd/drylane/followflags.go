package main

import (
	"io"
	"os"
	"time"

	"drylane/playback/rehearsal"

	"github.com/charmbracelet/x/term"
)

// followFlags are the flags of a run whose music somebody else plays.
type followFlags struct {
	Follow        string        `placeholder:"timecode@WHERE" help:"Follow a player that somebody else runs, in place of playing the music: its timecode, or with music@WHERE the music itself, by ear. WHERE is device, device:NAME, a sound file, - for raw frames on standard input, or midi:PATH for timecode."`
	FollowFrom    string        `placeholder:"HH:MM:SS:FF" help:"The timecode at the first frame of the soundtrack; else as show.toml has it."`
	FollowRate    string        `placeholder:"RATE" help:"Its frame rate, where it cannot be told from the code: 23.976, 24, 25, 29.97, 29.97 drop or 30."`
	FollowLatency time.Duration `placeholder:"TIME" help:"What the input does not tell of its latency."`
}

// followHelp tells how a run follows its music.
const followHelp = `With --follow the music is played elsewhere and its timecode drives the run: linear timecode on a sound input (--follow timecode@device), in a sound file, or as raw frames (two channels of 32-bit floats, 48000 a second; -:RATE for others) on standard input, and MIDI timecode from a device or a file of MIDI bytes (timecode@midi:/dev/snd/midiC1D0). The player starts, holds and resumes; the shooter arms, cuts, nudges, and holds the cues alone. Code that stops is carried for 0.2 s ([follow] carry in show.toml) and is a hold then; code that runs on from there is a resume; code that jumps is a hold, and going on elsewhere is asked for twice. A file runs at its own pace, or with --speed max as fast as it can.

With --follow music@WHERE a microphone hears the music itself: its place is found in some seconds, and followed to a few milliseconds. Music that stops is a hold within 1.5 s; what came due meanwhile was committed. Music that goes on from there resumes the run, unless a cue was due before it was found again: then going on where it is is asked for. A bang or a quiet passage is no stop. A stretch that comes several times is told as not sure.
  drylane rehearse shows/harbour --follow timecode@device:line --follow-from 01:00:00:00
  drylane rehearse shows/harbour --follow timecode@tracks/timecode.wav --speed max --auto arm.txt
  drylane rehearse shows/harbour --follow music@device:mic
`

// following is what the flags ask a run to follow.
func (f followFlags) following() rehearsal.Following {
	return rehearsal.Following{What: f.Follow, From: f.FollowFrom, Rate: f.FollowRate, Latency: f.FollowLatency, Stdin: pipedFrames()}
}

// pipedFrames is standard input, where it is no terminal.
func pipedFrames() io.Reader {
	if term.IsTerminal(os.Stdin.Fd()) {
		return nil
	}
	return os.Stdin
}
