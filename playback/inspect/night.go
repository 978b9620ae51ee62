package inspect

import (
	"context"
	"io/fs"
	"path/filepath"

	"drylane/playback/folder"
	"drylane/show"
	"drylane/show/night"
)

// ForNight is a show for the night's check. sum, when not nil, knows hashes
// that need not be taken again.
func ForNight(ctx context.Context, s *show.Show, path string, files fs.FS, sum func(name string) string) night.Entry {
	taken := map[string]string{}
	return night.Entry{Show: s, Folder: filepath.Base(path), Sum: func(name string) string {
		if sum != nil {
			if s := sum(name); s != "" {
				return s
			}
		}
		h, met := taken[name]
		if !met {
			h, _ = folder.Hash(ctx, files, name) // a file that is not there is the show's own check's affair
			taken[name] = h
		}
		return h
	}}
}

// OpenForNight is an opened show for the night's check.
func OpenForNight(ctx context.Context, l *folder.Folder) night.Entry {
	return ForNight(ctx, l.Show, l.Path, l.Files, func(name string) string {
		if name == l.Show.Soundtrack.File {
			return l.SHA256
		}
		return ""
	})
}
