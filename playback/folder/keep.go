package folder

import (
	"path/filepath"

	"drylane/playback/disk"
	"drylane/show"
	"drylane/show/lock"
)

// Keep protects the files of a show in the folder path from what a command
// writes: all that it names, and its lock.
func Keep(w *disk.Writer, path string, s *show.Show) {
	KeepSources(w, path, s)
	for _, name := range Companions(s) {
		w.Keep("a file of the show", in(path, name))
	}
	w.Keep("the show's lock", in(path, lock.File))
}

// KeepSources protects what everything else is made from: show.toml, the cue list,
// the soundtrack and the words of the calls.
func KeepSources(w *disk.Writer, path string, s *show.Show) {
	w.Keep("show.toml itself", in(path, ShowFile))
	w.Keep("the cue list itself", in(path, s.CuesFile))
	w.Keep("the soundtrack itself", in(path, s.Soundtrack.File))
	for _, name := range s.Calls.Files() {
		w.Keep("a file that the calls are made from", in(path, name))
	}
}

// KeepIn is Keep for a folder whose show has not been read. What cannot be read
// keeps nothing: whoever opens it says what is wrong with it.
func KeepIn(w *disk.Writer, dir string) {
	path, files, err := Dir(dir)
	if err != nil {
		return
	}
	if s, _ := show.Read(files); s != nil {
		Keep(w, path, s)
	}
}

// in is the path of a file that a show names; empty for none.
func in(path, name string) string {
	if name == "" {
		return ""
	}
	return filepath.Join(path, filepath.FromSlash(name))
}
