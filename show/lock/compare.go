package lock

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"drylane/show"
)

// A Change is one difference between a lock and the show as it is.
type Change struct {
	File string
	// Words say what changed, as a sentence about the file.
	Words string
	// Harmless is a change that nobody sees or hears: of tags, of blanks or
	// comments, of the order of lines.
	Harmless bool
}

// Compare says what differs in now from the lock: files in the lock's order,
// then those that are new. It is empty when the show is as locked.
func (l *Lock) Compare(now *Lock) []Change {
	var changes []Change
	after := map[string]Entry{}
	for _, e := range now.Files {
		after[e.File] = e
	}
	for _, e := range l.Files {
		a, named := after[e.File]
		delete(after, e.File)
		if words, harmless := l.change(e, a, named, now); words != "" {
			changes = append(changes, Change{show.Clean(e.File), words, harmless})
		}
	}
	for _, e := range now.Files {
		if _, left := after[e.File]; left {
			changes = append(changes, Change{show.Clean(e.File), "it belongs to the show now and was not in the lock", false})
		}
	}
	return changes
}

// change words what became of one file; empty when nothing did.
func (l *Lock) change(was, is Entry, named bool, now *Lock) (words string, harmless bool) {
	switch {
	case !named:
		return "it was in the lock and no longer belongs to the show", false
	case was.SHA256 == is.SHA256:
		return "", false
	case !is.there():
		return "it was rehearsed and is not there now", false
	case !was.there():
		return "it was not there when the show was locked", false
	case was.Role == RoleCues:
		words = l.cueWords(now)
		return words, words == sameCues
	case was.Audio != "" && was.Audio == is.Audio:
		return "the file changed since the lock and its sound did not: other tags", true
	}
	return fmt.Sprintf("it changed since the lock (SHA-256 %.12s..., was %.12s...)", is.SHA256, was.SHA256), false
}

const sameCues = "the file changed since the lock and its cues did not"

// cueWords words what became of the cues.
func (l *Lock) cueWords(now *Lock) string {
	var changed, added, gone []string
	for id, h := range l.Cues {
		switch is, there := now.Cues[id]; {
		case !there:
			gone = append(gone, id)
		case is != h:
			changed = append(changed, id)
		}
	}
	for id := range now.Cues {
		if _, was := l.Cues[id]; !was {
			added = append(added, id)
		}
	}
	var parts []string
	for _, p := range [...]struct {
		what string
		ids  []string
	}{{"changed", changed}, {"new", added}, {"gone", gone}} {
		if len(p.ids) > 0 {
			parts = append(parts, fmt.Sprintf("%d %s (%s)", len(p.ids), p.what, list(p.ids)))
		}
	}
	if len(parts) == 0 {
		return sameCues
	}
	return "cues since the lock: " + strings.Join(parts, ", ")
}

// list names cues, numbers in their order.
func list(ids []string) string {
	slices.SortFunc(ids, func(a, b string) int {
		return cmp.Or(cmp.Compare(len(a), len(b)), cmp.Compare(a, b))
	})
	const most = 12
	end := ""
	if len(ids) > most {
		ids, end = ids[:most], ", ..."
	}
	for i, id := range ids {
		r := []rune(show.Clean(id))
		if len(r) > 30 {
			r = append(r[:30], '…')
		}
		ids[i] = string(r)
	}
	return strings.Join(ids, ", ") + end
}

// State says in a few words how a show stands to its lock, the worst first; unread
// are files that nobody has looked into yet.
func (l *Lock) State(changes []Change, unread []string) string {
	day := l.Locked.Format("2006-01-02 15:04 MST")
	var files []string
	for _, c := range changes {
		if !c.Harmless {
			files = append(files, c.File)
		}
	}
	state, notRead := "as locked "+day, notReadYet(unread)
	switch {
	case len(files) > 0:
		state = "changed since " + day + ": " + strings.Join(files, ", ")
		if notRead != "" {
			state += "; " + notRead
		}
	case notRead != "":
		state = notRead + ", the rest " + state
	}
	switch l.Seal {
	case Older:
		state += ", by a lock of an older version"
	case Broken:
		state = "its lock was edited and says: " + state
	}
	return state
}

// notReadYet says which files have not been read; empty when all have.
func notReadYet(unread []string) string {
	switch len(unread) {
	case 0:
		return ""
	case 1:
		return show.Clean(unread[0]) + " not read yet"
	}
	return fmt.Sprintf("%d files not read yet", len(unread))
}
