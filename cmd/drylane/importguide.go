package main

import (
	"errors"
	"path/filepath"
	"slices"
	"strings"

	"drylane/playback/disk"
	"drylane/show"
	"drylane/show/exchange"
	"drylane/tui/guide"
	"drylane/tui/screen"
)

// errGuideLeft is the error of a guide that was left.
var errGuideLeft = errors.New("left before the end; nothing was written")

// guide settles the profile with a person at the keys. save is where that is kept; it
// is asked for when it is nil, and may be nil after that, too.
func (e *env) guide(src *source, p exchange.Profile, w *disk.Writer, save *disk.Target) (exchange.Profile, *disk.Target, error) {
	if !e.terminal() {
		return p, nil, errors.New("--guide: this is no terminal, so nobody can press keys; give the mapping with --map or --profile")
	}
	look, err := consoleFlags{}.look(e)
	if err != nil {
		return p, nil, err
	}
	notes := func(res *exchange.Result) []string { return slices.Concat(cautions(res), remarks(res)) }
	s := guide.Source{Name: show.Clean(src.name), Table: src.table, Read: howRead, Found: counts, Notes: notes, Cells: cueFields}
	if save == nil {
		s.Kept = profileName(src.name)
		s.Keep = func(name string) (err error) {
			save, err = w.Take("the profile", name)
			return err
		}
	}
	m := guide.New(s, p, look)
	if err := screen.Run(e.ctx, m, e.in, e.screen); err != nil {
		return p, nil, err
	}
	if p, done := m.Profile(); done {
		return p, save, nil
	}
	return p, nil, errGuideLeft
}

// profileName is the name that is proposed for the profile of a cue list.
func profileName(list string) string {
	return strings.TrimSuffix(list, filepath.Ext(list)) + "-columns.toml"
}
