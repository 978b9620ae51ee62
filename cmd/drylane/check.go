package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"drylane/playback/disk"
	"drylane/show"
	"drylane/show/check"
)

type checkCmd struct {
	Dir    string   `arg:"" help:"The show folder, or a folder of shows." placeholder:"DIR"`
	More   []string `arg:"" optional:"" help:"More of them: the shows of one night." placeholder:"DIR"`
	Media  string   `placeholder:"PATH" help:"Hold a memory stick, or any folder, against the show: is every file there, and is it the same audio? Nothing on it is touched."`
	Player string   `placeholder:"NAME" help:"With --media: only what this player has to carry."`
	JSON   bool     `help:"Print JSON."`
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
	folders, err := showFolders(append([]string{c.Dir}, c.More...)...)
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
	folder string
	fsys   fs.FS
	found  check.Findings
}

// look checks the show in a folder, and the medium for it.
func (c *checkCmd) look(e *env, dir string) (*checkedShow, error) {
	folder, fsys, err := openDir(dir)
	if err != nil {
		return nil, err
	}
	p := e.progress("listening to the soundtrack")
	facts, err := readFacts(e.ctx, folder, fsys, p.done)
	p.end()
	if err != nil {
		return nil, err
	}
	found := check.Run(facts)
	if c.Media != "" {
		more, err := e.checkMedia(facts.Show, fsys, c.Media, c.Player)
		if err != nil {
			return nil, err
		}
		found = found.With(more)
	}
	return &checkedShow{facts, folder, fsys, found}, nil
}

// openDir opens a show folder for those who look into it themselves.
func openDir(dir string) (folder string, fsys fs.FS, err error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return "", nil, fmt.Errorf("%s: found no show folder; wanted a folder with show.toml and what it names (%w)", dir, disk.Plain(err))
	}
	if folder, err = filepath.Abs(dir); err != nil {
		folder = dir
	}
	return folder, root.FS(), nil
}

// stopsFor returns what forbids arming a show that has been opened, a line
// each. It decodes nothing and is quick enough for the start of a console.
func stopsFor(l *loaded) []string {
	var lines []string
	for _, f := range check.Run(l.facts()).Stops() {
		lines = append(lines, f.String())
	}
	return lines
}

// fullCheck is all that drylane check finds in a folder without a medium. It
// decodes the whole soundtrack.
func fullCheck(ctx context.Context, folder string, fsys fs.FS, progress func(done float64)) (check.Findings, error) {
	facts, err := readFacts(ctx, folder, fsys, progress)
	if err != nil {
		return nil, err
	}
	return check.Run(facts), nil
}

// printFindings writes what was found, for people or as JSON.
func printFindings(w io.Writer, title string, found check.Findings, asJSON bool) error {
	if asJSON {
		return printJSON(w, reportOf(title, found))
	}
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
	line("%s: %s\n", show.Clean(title), found.Summary())
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
