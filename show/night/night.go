// Package night holds the shows of one night against each other: shows that
// are fired one after the other from one field share its modules and its
// playback devices. It is pure: what it knows of files is told to it.
package night

import (
	"fmt"
	"maps"
	"slices"

	"drylane/show"
)

// The codes of what is found here. They are stable, as those of package check.
const (
	CodePin        = "night-pin"         // a pin that more than one show uses
	CodePlayer     = "night-player"      // a player that needs other files from show to show
	CodePlayerFile = "night-player-file" // a player with one file name and more than one content
	CodeMore       = show.CodeMore
)

// An Entry is a show of the night.
type Entry struct {
	Show *show.Show
	// Folder tells shows with the same title apart; it is the name by which
	// people know the show's folder.
	Folder string
	// Sum returns a hash of a file of the show, "" when it cannot be had. It
	// is asked only for files whose content matters. Nil: no hash is known.
	Sum func(file string) string
}

// A Night is its shows, in the order in which they are run.
type Night []Entry

// A Conflict is something that more than one show needs for itself.
type Conflict struct {
	Severity show.Severity
	Code     string
	// Shows are indices into the night, at least two, ascending.
	Shows []int
	// Module and Pins, ascending, are set for CodePin.
	Module string
	Pins   []int
	// Player is set for the other codes, and Files with it: the file that it
	// carries in each of Shows.
	Player string
	Files  []string
}

// Conflicts finds what the shows take from each other: pins by module, in the
// order of their names, then players likewise. Pins of one module that the
// same shows use are one conflict.
func (n Night) Conflicts() []Conflict { return append(n.pins(), n.players()...) }

// pins finds the pins that more than one show uses. Once fired in the first show,
// such a pin is empty in the next; loaded for the next, it is fired in the
// first.
func (n Night) pins() []Conflict {
	users := map[string]map[int][]int{} // shows by module and pin
	for i, e := range n {
		for _, c := range e.Show.Cues {
			if c.Module == "" || c.Pin == 0 {
				continue
			}
			if users[c.Module] == nil {
				users[c.Module] = map[int][]int{}
			}
			// A show that uses a pin twice is found by that show's own check.
			if u := users[c.Module][c.Pin]; len(u) == 0 || u[len(u)-1] != i {
				users[c.Module][c.Pin] = append(u, i)
			}
		}
	}
	var found []Conflict
	for _, module := range slices.Sorted(maps.Keys(users)) {
		found = append(found, pinsOf(module, users[module])...)
	}
	return found
}

// pinsOf gathers the shared pins of a module by the shows that share them.
func pinsOf(module string, users map[int][]int) []Conflict {
	var found []Conflict
	at := map[string]int{} // index into found by the shows
	for _, pin := range slices.Sorted(maps.Keys(users)) {
		shows := users[pin]
		if len(shows) < 2 {
			continue
		}
		key := fmt.Sprint(shows)
		i, met := at[key]
		if !met {
			i = len(found)
			at[key] = i
			found = append(found, Conflict{Severity: show.SeverityStop, Code: CodePin, Shows: shows, Module: module})
		}
		found[i].Pins = append(found[i].Pins, pin)
	}
	return found
}

// players finds the players that do not play the same file in all shows that
// use them.
func (n Night) players() []Conflict {
	users := map[string]*Conflict{}
	for i, e := range n {
		for _, p := range e.Show.Players {
			c := users[p.Name]
			if c == nil {
				c = &Conflict{Severity: show.SeverityWarn, Player: p.Name}
				users[p.Name] = c
			}
			if p.Name == "" || p.File == "" || slices.Contains(c.Shows, i) {
				continue
			}
			c.Shows, c.Files = append(c.Shows, i), append(c.Files, p.File)
		}
	}
	var found []Conflict
	for _, name := range slices.Sorted(maps.Keys(users)) {
		c := *users[name]
		if c.Code = n.apart(c); c.Code != "" {
			found = append(found, c)
		}
	}
	return found
}

// apart says in what way the files of a player differ: "" when they are one.
// A file is known by its hash, and by its name where a hash is missing.
func (n Night) apart(c Conflict) (code string) {
	if len(c.Shows) < 2 {
		return "" // no need for the hash of a file that matters to one show only
	}
	sums := make([]string, len(c.Shows))
	for k, i := range c.Shows {
		if n[i].Sum != nil {
			sums[k] = n[i].Sum(c.Files[k])
		}
	}
	for k, file := range c.Files {
		for j := range k {
			known := sums[j] != "" && sums[k] != ""
			switch named := c.Files[j] == file; {
			case known && sums[j] == sums[k]:
			case known && named:
				return CodePlayerFile
			case !named:
				code = CodePlayer
			}
		}
	}
	return code
}
