package main

import (
	"bytes"
	"context"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"drylane/playback/cache"
	"drylane/testdata"
)

// TestReviewDemo: the demo's list is on its music, but for the position that
// was made 0.3 s late.
func TestReviewDemo(t *testing.T) {
	if testing.Short() {
		t.Skip("reads whole soundtracks many times")
	}
	dir, page := t.TempDir(), filepath.Join(t.TempDir(), "review.html")
	if err := os.CopyFS(dir, testdata.Demo()); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	e := &env{ctx: t.Context(), out: &out, errOut: io.Discard}
	if err := (reviewCmd{Dir: dir, Cues: true, HTML: page}).Run(e); err != nil {
		t.Fatal(err)
	}
	html, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	others := regexp.MustCompile(`position (Mole|Quay|Jetty|Barge|Beacon) (is|does)|drifts|the list is 0`)
	for _, text := range []string{out.String(), string(html)} {
		if !strings.Contains(text, "the list is on the music") || !strings.Contains(text, "position Slip is 0.30 s late") || others.MatchString(text) {
			t.Errorf("got %.1500s", text)
		}
	}
}

// TestOnsetsStopped: what was stopped says so, prints nothing and keeps nothing.
func TestOnsetsStopped(t *testing.T) {
	kept := t.TempDir()
	cache.Use(cache.New(kept, 1<<20))
	defer cache.Use(nil)
	file := filepath.Join(t.TempDir(), "soundtrack.mp3")
	b, err := fs.ReadFile(testdata.Demo(), "soundtrack.mp3")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, b, 0o600); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	var out bytes.Buffer
	err = onsetsCmd{File: file}.Run(&env{ctx: ctx, out: &out, errOut: io.Discard})
	if err == nil || err.Error() != "stopped before soundtrack.mp3 was heard to its end" || out.Len() > 0 {
		t.Errorf("got %v and %q", err, out.String())
	}
	if left, _ := filepath.Glob(filepath.Join(kept, "*")); len(left) > 0 {
		t.Errorf("the cache holds %v", left)
	}
}
