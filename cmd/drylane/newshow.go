package main

import (
	"fmt"

	"drylane/playback/folder"
	"drylane/show"
)

type newCmd struct {
	Dir string `arg:"" help:"The folder to make; it must not be there yet, or be empty." placeholder:"DIR"`
}

func (newCmd) Help() string { return "Example:\n\n  drylane new shows/first" }

func (n newCmd) Run(e *env) error {
	if err := folder.WriteStarter(n.Dir); err != nil {
		return err
	}
	_, err := fmt.Fprintf(e.out, "%s: a small show to start from. Put your music in place of soundtrack.wav,\nedit show.toml and cues.csv, then: drylane rehearse %s\n", show.Clean(n.Dir), show.Clean(n.Dir))
	return err
}
