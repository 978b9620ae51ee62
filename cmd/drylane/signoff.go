package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"time"

	"drylane/playback/signatures"
	"drylane/show"
	"drylane/show/drill"
	"drylane/show/season"
)

type signoffCmd struct {
	Session string `arg:"" optional:"" help:"The session of a drill: its path, its name, or \"last\"." placeholder:"SESSION"`
	By      string `placeholder:"NAME" help:"Who signs: the assessor."`
	Remark  string `placeholder:"TEXT" help:"What the assessor has to say."`
	List    bool   `help:"List what was signed, after testing that nothing was changed since."`
}

func (signoffCmd) Help() string {
	return "A signature stands in a file of the user's data folder, each with the sum of the one before it: a change, or one that is taken out, shows.\n\nExamples:\n\n  drylane signoff last --by \"Kim\" --remark \"calm and sure\"\n  drylane signoff --list"
}

func (c signoffCmd) Run(e *env) error {
	switch {
	case c.List && c.Session == "" && c.By == "" && c.Remark == "":
		return e.listSignatures()
	case c.List || c.Session == "":
		return errors.New("wanted a session and --by NAME, or --list alone")
	case show.Clean(c.By) == "":
		return errors.New("found no assessor; wanted --by NAME")
	}
	log, path, err := e.findSession(c.Session)
	if err != nil {
		return err
	}
	name := filepath.Base(path)
	r, err := drill.FromLog(name, log)
	if err != nil {
		return fmt.Errorf("%s: %w", show.Clean(name), err)
	}
	sum, err := signatures.Sum(filepath.Split(path))
	if err != nil {
		return err
	}
	s, err := signatures.Add(signatures.Path(), season.Signature{
		At: time.Now(), Session: name, SHA256: sum, Person: r.Person, Drill: r.Drill, Score: r.Score,
		By: show.Clean(c.By), Remark: show.Clean(c.Remark),
	})
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(e.out, "%s\nchain: %s\n%s: written\n", s, s.Sum, show.Clean(signatures.Path()))
	return err
}

// listSignatures prints the chain and its last sum.
func (e *env) listSignatures() error {
	chain, err := signatures.Read(signatures.Path())
	for _, s := range chain {
		fmt.Fprintln(e.out, s)
	}
	switch {
	case err != nil:
		return err
	case len(chain) == 0:
		_, err = fmt.Fprintln(e.out, "nothing was signed yet")
	default:
		_, err = fmt.Fprintf(e.out, "nothing was changed since; chain: %s\n", chain[len(chain)-1].Sum)
	}
	return err
}
