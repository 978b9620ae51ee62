package show

import (
	"errors"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"
	"time"
)

func newFolder(t *testing.T) fstest.MapFS {
	t.Helper()
	fsys := fstest.MapFS{}
	err := New(func(name string, data []byte) error {
		fsys[name] = &fstest.MapFile{Data: data}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return fsys
}

func TestNewLoads(t *testing.T) {
	s, problems := LoadAll(newFolder(t))
	wantProblems(t, problems)
	if s == nil || s.Soundtrack.File != "soundtrack.wav" || len(s.Cues) == 0 || s.Witness == nil {
		t.Errorf("got %+v", s)
	}
	wantProblems(t, CheckLength(s, 30*time.Second))
}

// Every key that stands in a comment is right too.
func TestNewLoadsWithCommentsTaken(t *testing.T) {
	fsys := newFolder(t)
	text := string(fsys[showFile].Data)
	taken := regexp.MustCompile(`(?m)^# (\[|[a-z_0-9]+ = )`).ReplaceAllString(text, "$1")
	if n := strings.Count(text, "\n# ") - strings.Count(taken, "\n# "); n < 18 {
		t.Fatalf("only %d lines taken out of comments", n)
	}
	fsys[showFile].Data = []byte(taken)
	s, problems := LoadAll(fsys)
	wantProblems(t, problems)
	if s == nil || len(s.Speakers) != 1 || len(s.Tracks) != 1 || len(s.Players) != 1 || s.FieldDevices != 3 || s.Console.CountIn != 4 {
		t.Errorf("got %+v", s)
	}
}

func TestNewStopsAtAnError(t *testing.T) {
	full := errors.New("disk full")
	calls := 0
	err := New(func(string, []byte) error { calls++; return full })
	if !errors.Is(err, full) || calls != 1 {
		t.Errorf("%v after %d calls, want the writer's error after one", err, calls)
	}
}
