package following

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"drylane/playback"
	"drylane/playback/follow"
	"drylane/playback/input"
	"drylane/playback/locate"
	"drylane/show"
)

// A Place is what is followed, in the words of the command line.
type Place struct {
	What    string // timecode or music, alone or with @WHERE; see Wanted
	Config  follow.Config
	Music   func() (*locate.Music, error) // the soundtrack made ready to be looked up in, for music
	Stdin   io.Reader                     // for raw frames
	Latency time.Duration                 // what a device does not tell of its latency
	Now     func() time.Time              // nil: as fast as it can
	Server  string                        // of the sound; empty for the usual one
}

// Wanted says what --follow takes.
const Wanted = "timecode@WHERE or music@WHERE, with WHERE one of device, device:NAME, a sound file, - or -:RATE for raw frames on standard input, and for timecode midi:PATH"

// What can be followed.
const (
	timecode = "timecode"
	music    = "music"
)

// ByEar reports whether a run follows music rather than timecode.
func ByEar(what string) bool {
	return kind(what) == music
}

// rawRate is the rate of raw frames unless it is told.
const rawRate = 48000

// Open opens what p names.
func (p Place) Open() (Source, error) {
	what, where, _ := strings.Cut(p.What, "@")
	if what != timecode && what != music {
		return nil, fmt.Errorf("--follow: found %q; wanted %s", show.Clean(p.What), Wanted)
	}
	s, err := p.open(where)
	if err != nil {
		return nil, fmt.Errorf("--follow: %w", err)
	}
	return s, nil
}

// kind is what of is to be followed, without where it is.
func kind(of string) string {
	what, _, _ := strings.Cut(of, "@")
	return what
}

// reader returns what tells where the music is from sound of a rate.
func (p Place) reader(rate int, live bool) (reader, error) {
	if ByEar(p.What) {
		h, err := p.newHeard(rate, live)
		if err != nil {
			return nil, err
		}
		return h, nil
	}
	cfg := p.Config
	cfg.SampleRate = rate
	sides, err := follow.NewSides(cfg)
	return coded{sides}, err
}

func (p Place) open(where string) (Source, error) {
	device, isDevice := strings.CutPrefix(where, "device:")
	path, isMIDI := strings.CutPrefix(where, "midi:")
	switch {
	case isMIDI && ByEar(p.What):
		return nil, errors.New("found music@midi:; wanted music from a device, a sound file or standard input")
	case isMIDI && path != "":
		return openMIDI(path, p.Config, p.Now)
	case where == "", where == "device", isDevice && device != "":
		return p.device(device)
	case where == "-", strings.HasPrefix(where, "-:"):
		return p.raw(strings.TrimPrefix(where[1:], ":"))
	case isDevice, isMIDI:
		return nil, fmt.Errorf("found nothing after %s; wanted %s", where, Wanted)
	}
	return p.file(where)
}

func (p Place) device(name string) (Source, error) {
	if p.Now == nil {
		return nil, errors.New("found a sound input, and the music goes faster than it comes in; wanted --speed 1, or a file")
	}
	in, err := input.Device(input.Options{Device: name, Server: p.Server, Latency: p.Latency, AppName: "drylane"})
	if err != nil {
		return nil, err
	}
	return sourceOf(newSound(in, p, true))
}

// sourceOf keeps a nil *sound from being a Source.
func sourceOf(s *sound, err error) (Source, error) {
	if err != nil {
		return nil, err
	}
	return s, nil
}

func (p Place) raw(rate string) (Source, error) {
	n := rawRate
	if rate != "" {
		var err error
		if n, err = strconv.Atoi(rate); err != nil || n < 8000 || n > 192000 {
			return nil, fmt.Errorf("found %q frames a second; wanted 8000 to 192000", show.Clean(rate))
		}
	}
	if p.Stdin == nil {
		return nil, errors.New("found -, and standard input is a terminal or taken; wanted raw frames in a pipe")
	}
	stream := input.Raw(p.Stdin, func() error { return nil })
	return p.stream("standard input", n, stream, true)
}

func (p Place) file(path string) (Source, error) {
	f, err := playback.OpenFile(path)
	if err != nil {
		return nil, err
	}
	return p.stream(show.Clean(path), f.Rate(), input.Sound(f, f.Close), false)
}

// stream follows a stream; live says that it may be filled as it plays.
func (p Place) stream(name string, rate int, s input.Stream, live bool) (Source, error) {
	s = withEnd(s, rate, ByEar(p.What))
	in, fast := input.Fast(name, rate, s), p.Now == nil
	if !fast {
		in = input.Paced(name, rate, s, live, p.Now)
	}
	source, err := newSound(in, p, live)
	if err != nil {
		return nil, err
	}
	source.waits = !live
	return source, nil
}
