package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"

	"drylane/playback/folder"
	"drylane/playback/inspect"
	"drylane/show"
	"drylane/show/check"
)

type checkCmd struct {
	Dir    string   `arg:"" help:"The show folder, or a folder of shows." placeholder:"DIR"`
	More   []string `arg:"" optional:"" help:"More of them: the shows of one night." placeholder:"DIR"`
	Media  string   `placeholder:"PATH" help:"Check a memory stick, or any folder, against the show: is every file there, and is it the same audio? Nothing on it is touched."`
	Player string   `placeholder:"NAME" help:"With --media: only what this player has to carry."`
	cacheFlag
	JSON bool `help:"Print JSON."`
}

func (checkCmd) Help() string {
	return "Everything that can be known before arming: show folder, soundtrack, companion files, witness tone, devices, pins, prefires, distances, and whether the show is as it was locked. " +
		"Each finding has a severity: stop (it forbids arming), warn or note. Exit code 1 when a stop is open.\n\n" +
		nightHelp + " They are checked one by one, and then for pins and players that more than one of them needs.\n\n" +
		"Examples:\n\n  drylane check shows/harbour\n  drylane check shows/harbour --media /media/stick\n  drylane check shows/harbour shows/finale"
}

func (c *checkCmd) Run(e *env) error {
	if c.Player != "" && c.Media == "" {
		return errors.New("--player: found no --media; wanted the medium that the player is to play from")
	}
	folders, err := folder.List(append([]string{c.Dir}, c.More...)...)
	if err != nil {
		return err
	}
	if len(folders) > 1 {
		return c.night(e, folders)
	}
	one, err := c.look(e, folders[0])
	if err != nil {
		return err
	}
	if err := printFindings(e.out, one.Show.Title, one.found, c.JSON); err != nil {
		return err
	}
	if len(one.found.Stops()) > 0 {
		return errSilent
	}
	return nil
}

// A checkedShow is a show folder and what was found in it.
type checkedShow struct {
	*check.Facts
	path  string
	files fs.FS
	found check.Findings
}

// look checks the show in a folder, and the medium for it.
func (c *checkCmd) look(e *env, dir string) (*checkedShow, error) {
	path, files, err := folder.Dir(dir)
	if err != nil {
		return nil, err
	}
	p := e.progress("listening to the soundtrack")
	defer p.end()
	facts, err := inspect.Everything(e.ctx, path, files, p.done)
	if err != nil {
		return nil, err
	}
	found := check.Run(facts)
	if c.Media != "" {
		more, err := inspect.Media(e.ctx, facts.Show, files, c.Media, c.Player, p.tell)
		if err != nil {
			return nil, err
		}
		found = found.With(more)
	}
	return &checkedShow{facts, path, files, found}, nil
}

// printFindings writes what was found, for people or as JSON.
func printFindings(w io.Writer, title string, found check.Findings, asJSON bool) error {
	if asJSON {
		return printJSON(w, reportOf(title, found))
	}
	return listFindings(w, found, show.Clean(title)+": "+found.Summary())
}

// listFindings writes what was found for people, with a last line.
func listFindings(w io.Writer, found check.Findings, last string) error {
	var err error
	line := func(format string, a ...any) {
		if err == nil {
			_, err = fmt.Fprintf(w, format, a...)
		}
	}
	for _, f := range found {
		line("%-4s  %s", f.Severity, f.Code)
		if f.Place != "" {
			line("  %s", f.Place)
		}
		line("\n      %s\n", f.Found)
		if f.Do != "" {
			line("      -> %s\n", f.Do)
		}
	}
	line("%s\n", last)
	return err
}

// A findingsReport is what was found, as JSON has it.
type findingsReport struct {
	Title    string         `json:"title"`
	Stops    int            `json:"stops"`
	Warnings int            `json:"warnings"`
	Notes    int            `json:"notes"`
	Findings check.Findings `json:"findings"`
}

func reportOf(title string, found check.Findings) findingsReport {
	stops, warns, notes := found.Counts()
	return findingsReport{title, stops, warns, notes, append(check.Findings{}, found...)}
}
