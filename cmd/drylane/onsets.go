package main

import (
	"fmt"

	"drylane/playback/accents"
)

type onsetsCmd struct {
	File string `arg:"" help:"The sound file." placeholder:"FILE"`
	cacheFlag
}

func (onsetsCmd) Help() string {
	return "Prints where things begin in the music, an onset a line: the time in seconds, then its strength, of which 1 is that of the strong accents of the piece.\n\nExample:\n\n  drylane onsets soundtrack.mp3"
}

func (o onsetsCmd) Run(e *env) error {
	p := e.progress("")
	m, err := accents.Find(e.ctx, listened(o.File), p.tell)
	p.end()
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
