package main

import (
	"fmt"

	"drylane/show"
	"drylane/show/session"
	"drylane/show/words"
)

type replayCmd struct {
	Log string `arg:"" help:"A session log: a path, a name that \"drylane sessions\" lists, or \"last\"." placeholder:"LOG"`
}

func (replayCmd) Help() string { return "Example:\n\n  drylane replay session.jsonl" }

func (r replayCmd) Run(e *env) error {
	log, _, err := e.findSession(r.Log)
	if err != nil {
		return err
	}
	agreed, err := session.Replay(log)
	if err != nil {
		return fmt.Errorf("%s: %w", show.Clean(r.Log), err)
	}
	fmt.Fprintf(e.out, "%s: %s of %s replayed, every one on its frame\n", show.Clean(r.Log), words.Count(agreed, "cue event"), words.Count(len(log.Entries), "event"))
	return nil
}
