package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"drylane/playback"
	"drylane/playback/disk"
	"drylane/show"
	"drylane/show/session"

	"github.com/adrg/xdg"
)

// openLog creates the session file: path, or a new one in the user's data
// folder. It never opens a file that is there already, so two consoles never
// write into one.
func openLog(path, title string, h session.Header) (*session.Writer, *os.File, error) {
	if path == "" {
		dir := filepath.Join(xdg.DataHome, "drylane", "sessions")
		if err := os.MkdirAll(dir, 0o700); err != nil {
			return nil, nil, fmt.Errorf("the folder for session logs cannot be made: %w", err)
		}
		path = filepath.Join(dir, h.Began.Format("2006-01-02_15-04-05.000")+"_"+slug(title)+".jsonl")
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if os.IsExist(err) {
		return nil, nil, fmt.Errorf("%s: found a file there already; wanted a new name: a session is never written over another", path)
	}
	if err != nil {
		return nil, nil, fmt.Errorf("%s: the session log cannot be written: %w", path, disk.Plain(err))
	}
	w, err := session.NewWriter(f, f.Sync, h)
	if err != nil {
		f.Close()
		return nil, nil, fmt.Errorf("%s: the session log cannot be written: %w", path, err)
	}
	return w, f, nil
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

// header describes the run that begins now.
func (l *loaded) header(plan *show.Plan, out playback.Output) session.Header {
	s := l.show
	_, silent := out.(playback.Soundless)
	return session.Header{
		Program: "drylane " + programVersion(), Began: time.Now(), Title: s.Title, Folder: l.folder,
		CuesSHA256: s.CuesSHA256,
		Soundtrack: session.Soundtrack{File: s.Soundtrack.File, SHA256: l.sha, Rate: plan.Rate, Frames: int64(plan.Length)},
		Output:     out.Name(), Silent: silent, LatencyMS: float64(out.Latency().Microseconds()) / 1000,
		GuardMS: plan.Guard.At(plan.Rate).Milliseconds(), LimitMS: s.Console.NudgeLimit.Milliseconds(),
		Lanes: s.Console.Lanes, Cues: session.CuesOf(plan, s.Cues),
	}
}
