package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"drylane/playback"
	"drylane/playback/tracks"
	"drylane/show"
	"drylane/show/timebase"
)

type tracksCmd struct {
	Dir     string `arg:"" placeholder:"DIR" help:"The show folder; its soundtrack is never changed."`
	To      string `required:"" placeholder:"OUTDIR" help:"The folder to write the files to."`
	Bits    int    `enum:"0,16,24" default:"0" placeholder:"N" help:"16 or 24 bits a sample; without it 24 for a master of more than 16, else 16."`
	Pips    bool   `help:"Make pips of spoken calls."`
	Replace bool   `help:"Write over files that are there already."`
}

func (tracksCmd) Help() string {
	return `Builds every companion file that a [[track]] of show.toml describes, each as long as the soundtrack, and reads it back before it gets its name.

  [[track]]
  file = "beacon.wav"
  left = "music left, gain -6 dB"
  right = "calls Beacon"

A side carries one of: music [left|right|mono]; timecode RATE hh:mm:ss:ff [-12 dB]; calls [POSITION]; pips [POSITION]; tone 1000 Hz [-18 dB]; silence. After a comma: gain -6 dB; offset 0.5 s (later); witness (music only: a tone at [witness]).

Calls are spoken by espeak-ng where it is installed, else they are pips. The onset of the word falls on the ignition. Words and rhythm are common practice: the procedure of a show is that of the operator in charge.

Example:

  drylane tracks shows/harbour --to stick`
}

func (c tracksCmd) Run(e *env) error {
	l, err := openFolder(c.Dir)
	if err != nil {
		return err
	}
	defer l.music.Close()
	for _, w := range l.warn {
		fmt.Fprintln(e.errOut, w)
	}
	b := &trackBuilder{tracksCmd: c, e: e, l: l}
	b.speaker = speakers{ctx: e.ctx, pips: c.Pips, note: func(text string) { fmt.Fprintln(e.errOut, "note: "+text) }}
	var wanted []show.Track
	for _, t := range l.show.Tracks {
		if t.Left != "" || t.Right != "" {
			wanted = append(wanted, t)
		}
	}
	if len(wanted) == 0 {
		return errors.New("show.toml: found no [[track]] with left or right; wanted one for each file to be built")
	}
	for _, t := range wanted {
		if err := b.free(b.path(t)); err != nil {
			return err
		}
	}
	err = b.build(wanted)
	var one *tracks.FileError
	switch {
	case errors.Is(err, context.Canceled):
		return fmt.Errorf("stopped: nothing was written to %s", c.To)
	case errors.As(err, &one):
		rest := ""
		if len(wanted) > 1 {
			rest = ", nor any other"
		}
		return fmt.Errorf("%s was not written%s: %w", b.path(wanted[one.Index]), rest, one.Err)
	}
	return err
}

// A trackBuilder builds the companion files of a show.
type trackBuilder struct {
	tracksCmd
	e       *env
	l       *loaded
	speaker speakers
}

// path is where a track goes.
func (b *trackBuilder) path(t show.Track) string {
	return filepath.Join(b.To, filepath.FromSlash(t.File))
}

// free refuses a path that is taken: by the master in any case, by another file
// unless it may be replaced.
func (b *trackBuilder) free(path string) error {
	info, err := os.Stat(path)
	if err != nil {
		return nil
	}
	master, err := os.Stat(filepath.Join(b.Dir, filepath.FromSlash(b.l.show.Soundtrack.File)))
	switch {
	case err == nil && os.SameFile(info, master):
		return fmt.Errorf("%s: found the soundtrack itself there; wanted another place", path)
	case info.IsDir():
		return fmt.Errorf("%s: found a folder there; wanted a new name", path)
	case !b.Replace:
		return fmt.Errorf("%s: found a file there already; wanted a new name, or --replace", path)
	}
	return nil
}

func (b *trackBuilder) report(path string, f *tracks.File, found [2]string, clipped int64, notes []string) error {
	bits := 24
	if f.Encoding == playback.WAVInt16 {
		bits = 16
	}
	var text strings.Builder
	fmt.Fprintf(&text, "%s: %s, %d frames as the master, %d Hz, %d bits; read back:\n", path,
		timebase.ClockMillis(timebase.Frame(f.Length).At(f.Rate)), f.Length, f.Rate, bits)
	fmt.Fprintf(&text, "  left   %s\n  right  %s\n", found[0], found[1])
	if clipped > 0 {
		notes = append(notes, fmt.Sprintf("%d samples went past full scale and were clipped: lower the gain", clipped))
	}
	for _, n := range notes {
		fmt.Fprintf(&text, "  note: %s\n", show.Clean(n))
	}
	_, err := fmt.Fprint(b.e.out, text.String())
	return err
}
