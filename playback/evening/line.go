package evening

import (
	"slices"
	"time"

	"drylane/playback/folder"
	"drylane/playback/inspect"
	"drylane/show"
	"drylane/show/check"
	"drylane/show/lock"
)

// A Line is a show in the list of a night. Its texts may stand on a screen.
type Line struct {
	Title, Folder string
	Length        time.Duration
	Cues          int
	Soundtrack    string
	// Lock is how it stands to its lock by now, in a word and in several. Nil: it
	// has no folder to look into.
	Lock    func() (Lock, string)
	Problem string // why it cannot be opened; empty when it can
}

// LockNow is Lock where there may be none.
func (l Line) LockNow() (word Lock, words string) {
	if l.Lock == nil {
		return "", ""
	}
	return l.Lock()
}

// A Lock is how a show stands to its lock, in a word.
type Lock string

// The words.
const (
	NotLocked  Lock = "not locked"
	AsLocked   Lock = "as locked"
	Changed    Lock = "changed"
	Edited     Lock = "edited"
	NotRead    Lock = "not read"
	Unreadable Lock = "unreadable"
)

// lineOf is an opened show in the list, and how it stands to its lock.
func lineOf(f *folder.Folder, reading *inspect.LockReading) Line {
	return Line{
		Title: f.Show.Title, Folder: show.Clean(f.Path), Length: f.Music.Info().Duration(), Cues: len(f.Show.Cues),
		Soundtrack: show.Clean(f.Show.Soundtrack.File),
		Lock:       func() (Lock, string) { return lockOf(reading.Now()), reading.Words() },
	}
}

func lockOf(l check.Lock) Lock {
	switch {
	case l.Open != "":
		return Unreadable
	case l.Lock == nil:
		return NotLocked
	case l.Lock.Seal == lock.Broken:
		return Edited
	case slices.ContainsFunc(l.Changes, func(c lock.Change) bool { return !c.Harmless }):
		return Changed
	case len(l.Unread) > 0:
		return NotRead
	}
	return AsLocked
}
