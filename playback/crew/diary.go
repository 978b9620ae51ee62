package crew

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"time"

	"drylane/show"

	"github.com/adrg/xdg"
)

// A Diary is the log of one machine of the crew: a file of JSON lines, the first of
// which says who sits there, and each other what was seen or done. The disk is waited
// for by a goroutine of the diary's alone.
type Diary struct {
	path  string
	lines chan any
	done  chan struct{}
	once  sync.Once
	err   error // of the first line that could not be written
}

// A diaryHead is its first line.
type diaryHead struct {
	Version int       `json:"drylane_crew_diary"`
	Program string    `json:"program"` // the lead's
	Title   string    `json:"title"`
	Name    string    `json:"name"`
	Role    string    `json:"role"`
	Began   time.Time `json:"began"`
}

// A diaryLine is any other.
type diaryLine struct {
	Wall  time.Time     `json:"wall"`
	Lead  time.Duration `json:"lead_ns,omitempty"`  // by the lead's clock, since it began; absent: not known
	Bound time.Duration `json:"bound_ns,omitempty"` // ... within
	Kind  string        `json:"kind"`
	Text  string        `json:"text"`
}

// diaryWaits is how many lines wait for the disk; more are left out.
const diaryWaits = 256

// OpenDiary makes the file: path, or a new one in the user's data folder. One that is
// there already is never written to.
func OpenDiary(path string, w Welcome, now time.Time) (*Diary, error) {
	if path == "" {
		dir := filepath.Join(xdg.DataHome, "drylane", "crew")
		if err := os.MkdirAll(dir, 0o700); err != nil {
			return nil, fmt.Errorf("the folder for the crew's logs cannot be made: %w", err)
		}
		path = filepath.Join(dir, now.Format("2006-01-02_15-04-05.000")+".jsonl")
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return nil, fmt.Errorf("%s: the crew's log cannot be written there: %w", show.Clean(path), err)
	}
	d := &Diary{path: path, lines: make(chan any, diaryWaits), done: make(chan struct{})}
	d.lines <- diaryHead{1, w.Program, w.Title, w.Name, w.Role, now}
	go d.write(f)
	return d, nil
}

func (d *Diary) write(f *os.File) {
	defer close(d.done)
	enc := json.NewEncoder(f)
	enc.SetEscapeHTML(false)
	for line := range d.lines {
		if err := enc.Encode(line); err != nil && d.err == nil {
			d.err = err
		}
	}
	if err := f.Close(); err != nil && d.err == nil {
		d.err = err
	}
}

// Report is what Member.Watch takes. It returns at once.
func (d *Diary) Report(r Report) {
	select {
	case d.lines <- diaryLine{time.Now().Round(0), r.At, r.Bound, r.Kind, r.Text}:
	default:
	}
}

// Close writes what waits. Nobody may report any more.
func (d *Diary) Close() error {
	d.once.Do(func() { close(d.lines) })
	<-d.done
	if d.err != nil {
		return fmt.Errorf("%s: the crew's log could not be written: %w", show.Clean(d.path), d.err)
	}
	return nil
}
