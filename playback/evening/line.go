package evening

import (
	"slices"
	"time"

	"drylane/playback/folder"
	"drylane/playback/inspect"
	"drylane/show"
	"drylane/show/lock"
)

// A Line is a show in the list of a night. Its texts may stand on a screen.
type Line struct {
	Title, Folder string
	Length        time.Duration
	Cues          int
	Soundtrack    string
	Lock          Lock
	LockWords     string
	Problem       string // why it cannot be opened; empty when it can
}

// A Lock is how a show stands to its lock, in a word.
type Lock string

// The words.
const (
	NotLocked  Lock = "not locked"
	AsLocked   Lock = "as locked"
	Changed    Lock = "changed"
	Unreadable Lock = "unreadable"
)

func lineOf(f *folder.Folder) Line {
	return Line{
		Title: f.Show.Title, Folder: show.Clean(f.Path), Length: f.Music.Info().Duration(), Cues: len(f.Show.Cues),
		Soundtrack: show.Clean(f.Show.Soundtrack.File), Lock: lockOf(f), LockWords: inspect.LockState(f),
	}
}

func lockOf(f *folder.Folder) Lock {
	switch l := inspect.Lock(f); {
	case l.Open != "":
		return Unreadable
	case l.Lock == nil:
		return NotLocked
	case slices.ContainsFunc(l.Changes, func(c lock.Change) bool { return !c.Harmless }):
		return Changed
	}
	return AsLocked
}
