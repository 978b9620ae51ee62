package main

import (
	"errors"
	"fmt"
	"io"
	"slices"

	"drylane/playback/folder"
	"drylane/playback/inspect"
	"drylane/show"
	"drylane/show/night"
)

// night checks several shows one by one, and then against each other. What is
// wrong with one keeps none of the others from being checked.
func (c *checkCmd) night(e *env, folders []string) error {
	each, err := c.each(folders)
	if err != nil {
		return err
	}
	var reports []findingsReport
	var shows night.Night
	stops := 0
	for i, dir := range folders {
		one, err := each[i].look(e, dir)
		if err != nil {
			return err
		}
		r := reportOf(one.Show.Title, one.found)
		reports, stops = append(reports, r), stops+r.Stops
		shows = append(shows, inspect.ForNight(e.ctx, one.Show, one.path, one.files, nil))
		if c.JSON {
			continue
		}
		heading(e.out, i, len(folders), one.Show.Title, dir)
		if err := printFindings(e.out, one.Show.Title, one.found, false); err != nil {
			return err
		}
	}
	between := reportOf(nightTitle, shows.Findings(shows.Conflicts()))
	if c.JSON {
		err = printJSON(e.out, struct {
			Shows []findingsReport `json:"shows"`
			Night findingsReport   `json:"night"`
		}{reports, between})
	} else {
		err = printBetween(e.out, between)
	}
	if err == nil && stops+between.Stops > 0 {
		err = errSilent
	}
	return err
}

// nightTitle stands for what is found between shows.
const nightTitle = "between the shows"

// printBetween prints, after the shows, what was found between them.
func printBetween(w io.Writer, r findingsReport) error {
	_, err := fmt.Fprintln(w)
	return errors.Join(err, listFindings(w, r.Findings, r.Title+": "+night.Summary(r.Findings)))
}

// each returns the check of each show: what --player names need not be in all
// of them, and is looked for on the medium where it is. A folder that cannot
// be opened is told of before anything is listened to.
func (c *checkCmd) each(folders []string) ([]*checkCmd, error) {
	without := *c
	without.Media, without.Player = "", ""
	list, asked := make([]*checkCmd, len(folders)), c.Player == ""
	for i, dir := range folders {
		_, files, err := folder.Dir(dir)
		if err != nil {
			return nil, err
		}
		list[i] = c
		if s, _ := show.Read(files); c.Player != "" && (s == nil || !slices.ContainsFunc(s.Players, func(p show.Player) bool { return p.Name == c.Player })) {
			list[i] = &without
		}
		asked = asked || list[i] == c
	}
	if !asked {
		return nil, fmt.Errorf("--player: found no player %q in any of the shows; wanted the name of one", c.Player)
	}
	return list, nil
}
