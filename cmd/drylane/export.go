package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"drylane/playback"
	"drylane/playback/cuemarkers"
	"drylane/playback/disk"
	"drylane/playback/folder"
	"drylane/show"
	"drylane/show/exchange"
	"drylane/show/timebase"
)

type exportCmd struct {
	Dir     string `arg:"" placeholder:"DIR" help:"The show folder; it is never changed."`
	CSV     string `name:"csv" placeholder:"OUT" help:"Write the cue list as CSV."`
	Markers string `placeholder:"OUT.wav" help:"Write the soundtrack as a WAV file with a marker at the effect of each cue, for any audio editor."`
	replaceFlag
}

func (exportCmd) Help() string {
	return "drylane import reads both back: import OUT, or import --from-markers OUT.wav.\n\nExamples:\n\n  drylane export shows/harbour --csv harbour.csv\n  drylane export shows/harbour --markers harbour-cues.wav"
}

func (c *exportCmd) Run(e *env) error {
	if c.CSV == "" && c.Markers == "" {
		return errors.New("found nothing to write; wanted --csv OUT or --markers OUT.wav")
	}
	w := c.writer(e)
	folder.KeepIn(w, c.Dir)
	csv, errCSV := w.Take("--csv", c.CSV)
	markers, errMarkers := w.Take("--markers", c.Markers)
	if err := errors.Join(errCSV, errMarkers); err != nil {
		return err
	}
	if markers != nil {
		l, err := folder.Open(c.Dir)
		if err != nil {
			return err
		}
		defer l.Close()
		if err := c.writeMarkers(e, l, markers); err != nil {
			return err
		}
	}
	s, err := folder.Read(c.Dir)
	if err != nil {
		return err
	}
	if csv != nil {
		if err := csv.Write(s.WriteCues); err != nil {
			return err
		}
		fmt.Fprintf(e.out, "%s: %d cues\n", show.Clean(c.CSV), len(s.Cues))
	}
	fmt.Fprintf(e.errOut, "note: not in it: %s\n", strings.Join(exchange.Uncarried(s), ", "))
	return nil
}

// writeMarkers writes the music with the cues in it: a WAV soundtrack as it
// is, any other decoded.
func (c *exportCmd) writeMarkers(e *env, l *folder.Folder, to *disk.Target) error {
	src, err := l.MusicFile()
	if err != nil {
		return err
	}
	defer src.Close()
	if l.Music.Format() != "WAV" {
		decoded, err := c.decode(e, l)
		if err != nil {
			return err
		}
		defer os.Remove(decoded.Name())
		defer decoded.Close()
		src = decoded
	}
	var replaced, late int
	err = to.Write(func(w io.Writer) error {
		var err error
		replaced, late, err = cuemarkers.Write(l.Show.Soundtrack.File, w, stoppableFile{disk.Stoppable(e.ctx, src), src}, l.Show.Cues)
		return err
	})
	if err != nil {
		return err
	}
	fmt.Fprintf(e.out, "%s: the music with %d markers\n", show.Clean(c.Markers), len(l.Show.Cues))
	if replaced > 0 {
		fmt.Fprintf(e.errOut, "note: %d cue points that %s has itself were left out\n", replaced, l.Show.Soundtrack.File)
	}
	if late > 0 {
		fmt.Fprintf(e.errOut, "note: %d markers lie after the end of the music; some programs do not show those\n", late)
	}
	return nil
}

// stoppableFile is a file whose reading ends when its context does.
type stoppableFile struct {
	io.Reader
	io.Seeker
}

// decode writes the soundtrack into a WAV file beside the one to be made, of
// 24 bits unless it has 16 or fewer itself. The caller removes it.
func (c *exportCmd) decode(e *env, l *folder.Folder) (_ *os.File, err error) {
	f, err := os.CreateTemp(filepath.Dir(c.Markers), ".drylane-*")
	if err != nil {
		return nil, fmt.Errorf("%s: the file cannot be written: %w", c.Markers, disk.Plain(err))
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
		}
	}()
	encoding := playback.WAVInt24
	if bits := l.Music.Info().Bits; bits > 0 && bits <= 16 {
		encoding = playback.WAVInt16
	}
	w, err := playback.NewWAVWriter(f, l.Music.Rate(), l.Music.Channels(), encoding)
	if err != nil {
		return nil, err
	}
	p := e.progress("decoding the music")
	defer p.end()
	total := float64(max(1, l.Music.Len()))
	err = playback.Pass(e.ctx, l.Show.Soundtrack.File, l.MusicFile, func(start timebase.Frame, frames [][2]float64) error {
		p.done(float64(start) / total)
		return w.Write(frames)
	})
	if err = errors.Join(err, w.Close()); errors.Is(err, context.Canceled) {
		return nil, fmt.Errorf("stopped: %s was not written", show.Clean(c.Markers))
	} else if err != nil {
		return nil, fmt.Errorf("%s: the music cannot be decoded: %w", l.Show.Soundtrack.File, err)
	}
	if n := w.Clipped(); n > 0 {
		fmt.Fprintf(e.errOut, "note: %d samples of the music went past full scale when decoded and are clipped in %s\n", n, show.Clean(c.Markers))
	}
	return f, nil
}
