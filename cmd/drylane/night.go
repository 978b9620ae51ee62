package main

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"drylane/playback/disk"
	"drylane/show"
	"drylane/show/night"
)

// nightHelp says how the commands that take several shows are given them.
const nightHelp = "Several show folders, or a folder of show folders (taken by name), are a night: its shows use one field, one after the other."

// showFolders lists the show folders that the arguments mean: each itself, or,
// where it has no show.toml, those of its folders that have one, by name.
func showFolders(dirs ...string) ([]string, error) {
	var folders []string
	met := map[string]bool{}
	for _, dir := range dirs {
		for _, folder := range showsIn(dir) {
			real, err := filepath.EvalSymlinks(folder)
			if err != nil {
				real = folder // whoever opens it says what is wrong with it
			}
			if real, err = filepath.Abs(real); err != nil {
				return nil, fmt.Errorf("%s: %w", folder, disk.Plain(err))
			}
			if met[real] {
				return nil, fmt.Errorf("%s: found the same show folder twice; wanted each show once", folder)
			}
			met[real] = true
			folders = append(folders, folder)
		}
	}
	return folders, nil
}

// showsIn lists the shows in a folder of shows; any other folder is the only
// one in its list.
func showsIn(dir string) []string {
	isShow := func(dir string) bool {
		_, err := os.Stat(filepath.Join(dir, showFile))
		return err == nil
	}
	if isShow(dir) {
		return []string{dir}
	}
	list, err := os.ReadDir(dir) // sorted by name
	if err != nil {
		return []string{dir}
	}
	var shows []string
	for _, f := range list {
		if sub := filepath.Join(dir, f.Name()); isShow(sub) {
			shows = append(shows, sub)
		}
	}
	if len(shows) == 0 {
		return []string{dir}
	}
	return shows
}

// heading begins what is said of one show of several.
func heading(w io.Writer, i, of int, title, folder string) {
	blank := "\n"
	if i == 0 {
		blank = ""
	}
	fmt.Fprintf(w, "%s%d of %d: %s (%s)\n", blank, i+1, of, show.Clean(title), show.Clean(folder))
}

// nightEntry is a show for the night's check. sum, when not nil, knows hashes
// that need not be taken again.
func nightEntry(ctx context.Context, s *show.Show, folder string, fsys fs.FS, sum func(name string) string) night.Entry {
	taken := map[string]string{}
	return night.Entry{Show: s, Folder: filepath.Base(folder), Sum: func(name string) string {
		if sum != nil {
			if s := sum(name); s != "" {
				return s
			}
		}
		h, met := taken[name]
		if !met {
			h, _ = hashIn(ctx, fsys, name) // a file that is not there is the show's own check's affair
			taken[name] = h
		}
		return h
	}}
}

// entry is an opened show for the night's check.
func (l *loaded) entry(ctx context.Context) night.Entry {
	return nightEntry(ctx, l.show, l.folder, l.fsys, func(name string) string {
		if name == l.show.Soundtrack.File {
			return l.sha
		}
		return ""
	})
}
