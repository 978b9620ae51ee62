package sessions

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"drylane/playback/disk"
	"drylane/show"
	"drylane/show/session"
	"drylane/show/words"

	"github.com/adrg/xdg"
)

// Path is where a session lies: a path, a name in the user's data folder or the
// beginning of one that no other there has, or "last" for the one that was started
// last, wherever it was written. What is none of them is a path to nothing.
func Path(name string) (string, error) {
	if there(name) {
		return name, nil
	}
	if name == "last" {
		return last()
	}
	if name == "" || filepath.Base(name) != name {
		return name, nil
	}
	for _, n := range []string{name, name + extension} {
		if path := filepath.Join(Dir(), n); there(path) {
			return path, nil
		}
	}
	names, err := Names(Dir())
	if err != nil {
		return "", err
	}
	names = slices.DeleteFunc(names, func(n string) bool { return !strings.HasPrefix(n, name) })
	switch len(names) {
	case 0:
		return name, nil
	case 1:
		return filepath.Join(Dir(), names[0]), nil
	}
	return "", fmt.Errorf("found %d sessions that begin with %q, such as %s; wanted more of the name of one",
		len(names), show.Shorten(name, 60), show.Clean(words.List([]string{names[0], names[len(names)-1]})))
}

func there(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// lastFile keeps the path of the session that was started last: it may lie anywhere,
// and a clock may have been put back since.
func lastFile() string { return filepath.Join(xdg.StateHome, "drylane", "last-session") }

// Remember keeps path as that of the session that was started last. A run does not
// fail for it: the newest in the user's data folder is taken then.
func Remember(path string) {
	path, err := filepath.Abs(path)
	if err != nil || os.MkdirAll(filepath.Dir(lastFile()), 0o700) != nil {
		return
	}
	_ = disk.WriteWhole(lastFile(), func(w io.Writer) error {
		_, err := io.WriteString(w, path+"\n")
		return err
	})
}

// last is the path of the session that was started last.
func last() (string, error) {
	if text, err := os.ReadFile(lastFile()); err == nil {
		path := strings.TrimSuffix(string(text), "\n")
		if info, err := os.Stat(path); err == nil && info.Mode().IsRegular() {
			return path, nil
		}
	}
	names, err := Names(Dir())
	if err != nil {
		return "", err
	}
	if len(names) == 0 {
		return "", fmt.Errorf("last: found no session in %s; wanted one from a rehearsal", Dir())
	}
	newest, when := filepath.Join(Dir(), names[len(names)-1]), time.Time{}
	for _, name := range names {
		path := filepath.Join(Dir(), name)
		if b := began(path); b.After(when) {
			newest, when = path, b
		}
	}
	return newest, nil
}

// began is when the session at path was started; the zero time where that does not
// read.
func began(path string) time.Time {
	f, err := disk.OpenFound(path, "session")
	if err != nil {
		return time.Time{}
	}
	defer f.Close()
	h, err := session.ReadHeader(f)
	if err != nil {
		return time.Time{}
	}
	return h.Began
}
