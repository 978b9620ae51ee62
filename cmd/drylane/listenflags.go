package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/timebase"
)

// listenFlags are the flags that say which companion tracks are heard.
type listenFlags struct {
	Listen        string        `placeholder:"TRACK" help:"A companion track to hear in place of the music; on the console a key changes it."`
	Beside        string        `placeholder:"TRACK[@WHERE]" help:"A companion track to play beside the music, on an output of its own: WHERE as for --out."`
	BesideLatency time.Duration `placeholder:"TIME" help:"As --latency, for the output beside the music."`
}

// leastBesideBuffer is how much the second output holds at least: it has no
// cues to wait for.
const leastBesideBuffer = 200 * time.Millisecond

// listening opens what the flags name and sets it into cfg, whose output is
// there already. What was opened for it is closed by r.tracks and r.beside.
func (r *rehearsal) listening(f runFlags, cfg *deck.Config, buffer time.Duration) error {
	cfg.Companions = r.tracks.list()
	if f.Listen != "" {
		i, err := r.tracks.find(f.Listen)
		if err != nil {
			return fmt.Errorf("--listen: %w", err)
		}
		if i >= 0 {
			if cfg.Companions[i].Stream, err = r.tracks.openAt(i); err != nil {
				return fmt.Errorf("--listen: %w", err)
			}
		}
		cfg.Listen = i + 1
	}
	if f.Beside == "" {
		return nil
	}
	track, where, err := f.where(cfg.Now == nil)
	if err != nil {
		return fmt.Errorf("--beside: %w", err)
	}
	if file, ok := strings.CutPrefix(where, "wav:"); ok && samePath(file, f.Out) {
		return fmt.Errorf("--beside: found %s, which the music goes to; wanted another file", file)
	}
	return r.playBeside(f.listenFlags, track, where, cfg, buffer)
}

// samePath reports whether an output is that file.
func samePath(file, out string) bool {
	other, ok := strings.CutPrefix(out, "wav:")
	return ok && filepath.Clean(file) == filepath.Clean(other)
}

// playBeside opens a track and the output that it goes to.
func (r *rehearsal) playBeside(f listenFlags, track, where string, cfg *deck.Config, buffer time.Duration) error {
	i, err := r.tracks.find(track)
	if err != nil {
		return fmt.Errorf("--beside: %w", err)
	}
	beside := &deck.SecondOutput{Companion: deck.Companion{Name: theMusic}}
	if i >= 0 {
		beside.Companion = cfg.Companions[i]
	}
	if beside.Stream, err = r.tracks.openAt(i); err != nil {
		return fmt.Errorf("--beside: %w", err)
	}
	flags := outFlags{Out: where, Speed: "1", Latency: f.BesideLatency, beside: true}
	if cfg.Now == nil && where == "silent" {
		flags.Speed = "max"
	}
	if r.beside, err = flags.sink(r.music.Rate(), max(buffer, leastBesideBuffer)); err != nil {
		return err
	}
	beside.Reopen = r.beside.open
	if beside.Output, err = r.beside.open(); err != nil {
		return fmt.Errorf("--beside: %w", err)
	}
	cfg.Second = beside
	return nil
}

// where takes --beside apart; without a place it is the first device there is.
// fast says that the music goes as fast as it can, which no device does.
func (f listenFlags) where(fast bool) (track, where string, err error) {
	track, where, named := strings.Cut(f.Beside, "@")
	if !named {
		where = "auto"
	}
	switch {
	case f.BesideLatency < -2*time.Second || f.BesideLatency > 5*time.Second:
		return "", "", fmt.Errorf("found a latency of %v; wanted -2s to 5s", f.BesideLatency)
	case named && where == "":
		return "", "", errors.New("found nothing after @; wanted auto, device, device:NAME, silent or wav:PATH")
	case fast && where != "silent" && !strings.HasPrefix(where, "wav:"):
		return "", "", errors.New("found a sound device, and the music goes faster than it sounds; wanted @wav:PATH or @silent")
	}
	return track, where, nil
}

// listenHelp tells how the companion tracks are heard.
const listenHelp = `Every [[track]] of the show can be heard in place of the music (--listen, and a key of the console) or beside it on a second output (--beside); "music" names the soundtrack itself. Both outputs hold and resume on one frame, and one frame sounds on both at one moment; when they have parted by more than 1 ms the second is put right, which the log tells. Cue reports sound with the music only.

  drylane rehearse shows/harbour --beside beacon.wav@device:headphones
  drylane rehearse shows/harbour --listen timecode.wav --beside music@device:booth
`

// timecodeOf returns what tells the timecode of a frame of the music by the
// first [[track]] that carries one, or nil if none does.
func timecodeOf(s *show.Show, rate int, length timebase.Frame) func(timebase.Frame) string {
	for _, t := range s.Tracks {
		for _, side := range [...]string{t.Left, t.Right} {
			if c, err := show.ParseChannel(side); err == nil && c.Source == show.ChannelTimecode {
				return channelTimecode(c, rate, length)
			}
		}
	}
	return nil
}

// channelTimecode is timecodeOf for a channel. Before its first frame and after
// the music there is none to be heard.
func channelTimecode(c show.Channel, rate int, length timebase.Frame) func(timebase.Frame) string {
	r, start, err := parseLabel(c.Rate, c.Start)
	if err != nil {
		return nil
	}
	first, err := r.Index(start)
	if err != nil {
		return nil
	}
	offset := timebase.FrameAt(c.Offset, rate)
	return func(f timebase.Frame) string {
		label := "--:--:--:--"
		if f >= max(0, offset) {
			label = r.Timecode(first + r.FrameAt(int64(min(f, length-1)-offset), rate)).String()
		}
		return label + " @" + r.String()
	}
}
