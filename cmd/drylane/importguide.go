package main

import (
	"errors"
	"slices"

	"drylane/show"
	"drylane/show/exchange"
	"drylane/tui/guide"
	"drylane/tui/screen"
)

// errGuideLeft is the error of a guide that was left.
var errGuideLeft = errors.New("left before the end; nothing was written")

// guide settles the profile with a person at the keys.
func (e *env) guide(src *source, p exchange.Profile) (exchange.Profile, error) {
	if !e.terminal() {
		return p, errors.New("--guide: this is no terminal, so nobody can press keys; give the mapping with --map or --profile")
	}
	look, err := consoleFlags{}.look(e)
	if err != nil {
		return p, err
	}
	notes := func(res *exchange.Result) []string { return slices.Concat(cautions(res), remarks(res)) }
	m := guide.New(guide.Source{Name: show.Clean(src.name), Table: src.table, Read: howRead, Found: counts, Notes: notes, Cells: cueFields},
		p, look)
	if err := screen.Run(e.ctx, m, e.in, e.out); err != nil {
		return p, err
	}
	if p, done := m.Profile(); done {
		return p, nil
	}
	return p, errGuideLeft
}
