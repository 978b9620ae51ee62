package main

import (
	"fmt"
	"io"
	"strings"

	"drylane/playback"
	"drylane/playback/companion"
	"drylane/playback/folder"
	"drylane/show"
	"drylane/show/timebase"
)

type tracksCmd struct {
	Dir  string `arg:"" placeholder:"DIR" help:"The show folder; its soundtrack is never changed."`
	To   string `required:"" placeholder:"OUTDIR" help:"The folder to write the files to."`
	Bits int    `enum:"0,16,24" default:"0" placeholder:"N" help:"16 or 24 bits a sample; without it 24 for a master of more than 16, else 16."`
	Pips bool   `help:"Make pips of spoken calls."`
	replaceFlag
}

func (tracksCmd) Help() string {
	return `Builds every companion file that a [[track]] of show.toml describes, each as long as the soundtrack, and reads it back before it gets its name.

  [[track]]
  file = "beacon.wav"
  left = "music left, gain -6 dB"
  right = "calls Beacon"

A side carries one of: music [left|right|mono]; timecode RATE hh:mm:ss:ff [-12 dB]; calls [POSITION]; pips [POSITION]; tone 1000 Hz [-18 dB]; silence. After a comma: gain -6 dB; offset 0.5 s (later); witness (music only: a tone at [witness]).

Calls are spoken by espeak-ng where it is installed, in the language of [calls] in show.toml (drylane print --help), else they are pips. The crew sheets of drylane print have the same words. The onset of the word falls on the ignition. Words and rhythm are common practice: the procedure of a show is that of the operator in charge.

Example:

  drylane tracks shows/harbour --to stick`
}

func (c tracksCmd) Run(e *env) error {
	l, err := folder.Open(c.Dir)
	if err != nil {
		return err
	}
	defer l.Close()
	for _, w := range l.Warnings {
		fmt.Fprintln(e.errOut, w)
	}
	p := e.progress("")
	b := &companion.Builder{Folder: l, To: c.To, Bits: c.Bits, Pips: c.Pips, Replace: c.Replace,
		Note: func(text string) { fmt.Fprintln(e.errOut, "note: "+text) }, Tell: p.tell}
	built, err := b.Build(e.ctx)
	p.end()
	for _, f := range built {
		if _, err := io.WriteString(e.out, aboutBuilt(f)); err != nil {
			return err
		}
	}
	return err
}

// aboutBuilt tells of a file what it holds.
func aboutBuilt(b companion.Built) string {
	bits := 24
	if b.File.Encoding == playback.WAVInt16 {
		bits = 16
	}
	var text strings.Builder
	fmt.Fprintf(&text, "%s: %s, %d frames as the master, %d Hz, %d bits; read back:\n", show.Clean(b.Path),
		timebase.ClockMillis(timebase.Frame(b.File.Length).At(b.File.Rate)), b.File.Length, b.File.Rate, bits)
	fmt.Fprintf(&text, "  left   %s\n  right  %s\n", b.Found[0], b.Found[1])
	notes := b.Notes
	if b.Clipped > 0 {
		notes = append(notes, fmt.Sprintf("%d samples went past full scale and were clipped: lower the gain", b.Clipped))
	}
	for _, n := range notes {
		fmt.Fprintf(&text, "  note: %s\n", show.Clean(n))
	}
	return text.String()
}
