package sessions

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"drylane/playback/disk"
	"drylane/show"
	"drylane/show/session"
)

// Create creates the session file: path, or a new one in the user's data
// folder. It never opens a file that is there already, so two consoles never
// write into one.
func Create(path, title string, h session.Header) (*session.Writer, *Log, error) {
	if path == "" {
		dir, err := made()
		if err != nil {
			return nil, nil, fmt.Errorf("the folder for session logs cannot be made: %w", err)
		}
		path = filepath.Join(dir, h.Began.Format("2006-01-02_15-04-05.000")+"_"+slug(title)+extension)
	}
	f, info, err := create(path)
	if errors.Is(err, fs.ErrExist) {
		return nil, nil, fmt.Errorf("%s: found a file there already; wanted a new name: a session is never written over another", show.Clean(path))
	}
	if err != nil {
		return nil, nil, fmt.Errorf("%s: the session log cannot be written: %w", show.Clean(path), disk.Plain(err))
	}
	log := &Log{path: path, file: f, info: info}
	w, err := session.NewWriter(log, log.Sync, h)
	if err != nil {
		log.Close()
		return nil, nil, fmt.Errorf("%s: the session log cannot be written: %w", show.Clean(path), err)
	}
	return w, log, nil
}

// made makes the folder of the session logs where it is not there, and returns it.
func made() (string, error) {
	dir := Dir()
	return dir, os.MkdirAll(dir, 0o700)
}

// slug makes a title fit for a file name.
func slug(s string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(s) {
		switch {
		case 'a' <= r && r <= 'z' || '0' <= r && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() >= 40 {
			break
		}
	}
	if b.Len() == 0 {
		return "show"
	}
	return strings.Trim(b.String(), "-")
}
