package desk

import (
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"drylane/playback/folder"
	"drylane/show"
	"drylane/show/words"
)

// Open opens the shows of a night for one sound check. With several, a file goes
// by its show's folder and its name. A show that cannot be run, or whose files are
// missing, can be checked all the same.
func Open(folders []string) (*Library, error) {
	if len(folders) == 1 {
		return openOne(folders[0])
	}
	all := folderFS{}
	night := &Library{Title: fmt.Sprintf("%d shows", len(folders)), folder: all}
	for _, dir := range folders {
		path, fsys, err := folder.Dir(dir)
		if err != nil {
			return nil, err
		}
		s, problems := show.Read(fsys)
		if s == nil {
			return nil, fmt.Errorf("%s:\n%w", dir, problems)
		}
		key := all.add(show.Clean(filepath.Base(path)), fsys)
		night.Files = append(night.Files, NewLibrary(within(s, key), all, path).Files...)
		if problems.Stop() {
			night.Warnings = append(night.Warnings, fmt.Sprintf("%s: %s in its files, so it cannot be run as it is", key, words.Count(len(problems), "problem")))
		}
	}
	night.Sources = Sources(night.Files)
	return night, nil
}

// A folderFS has folders side by side, by names of their own.
type folderFS map[string]fs.FS

// add adds a folder under its name, or one like it that is free.
func (f folderFS) add(name string, fsys fs.FS) string {
	key := name
	for i := 2; f[key] != nil; i++ {
		key = fmt.Sprintf("%s-%d", name, i)
	}
	f[key] = fsys
	return key
}

// Open implements fs.FS.
func (f folderFS) Open(name string) (fs.File, error) {
	key, rest, _ := strings.Cut(name, "/")
	if fsys := f[key]; fsys != nil && rest != "" {
		return fsys.Open(rest)
	}
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

// within is a show as it names its sound files from one folder further up.
func within(s *show.Show, folder string) *show.Show {
	up := *s
	in := func(name string) string {
		if name == "" {
			return ""
		}
		return path.Join(folder, name)
	}
	up.Soundtrack.File = in(s.Soundtrack.File)
	up.Tracks, up.Players = slices.Clone(s.Tracks), slices.Clone(s.Players)
	for i := range up.Tracks {
		up.Tracks[i].File = in(up.Tracks[i].File)
	}
	for i := range up.Players {
		up.Players[i].File = in(up.Players[i].File)
	}
	return &up
}
