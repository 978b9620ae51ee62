package main

import (
	"fmt"
	"io"

	"drylane/playback/accents"
	"drylane/playback/disk"
)

type onsetsCmd struct {
	File string `arg:"" help:"The sound file." placeholder:"FILE"`
}

func (onsetsCmd) Help() string {
	return "Prints where things begin in the music, an onset a line: the time in seconds, then its strength, of which 1 is that of the strong accents of the piece.\n\nExample:\n\n  drylane onsets soundtrack.mp3"
}

func (o onsetsCmd) Run(e *env) error {
	p := e.progress("")
	defer p.end()
	m, err := accents.Find(e.ctx, o.File, func() (io.ReadSeekCloser, error) {
		f, err := disk.Open(o.File)
		if err != nil {
			return nil, fmt.Errorf("%s cannot be opened: %w", o.File, disk.Plain(err))
		}
		return f, nil
	}, p.tell)
	if err != nil {
		return err
	}
	for _, a := range m.Accents {
		if _, err := fmt.Fprintf(e.out, "%.4f %.3f\n", a.At.At(m.Rate).Seconds(), a.Strength); err != nil {
			return err
		}
	}
	return nil
}
