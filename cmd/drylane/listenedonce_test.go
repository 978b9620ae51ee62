package main

import (
	"bytes"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/accents"
	"drylane/playback/cache"
	"drylane/playback/folder"
	"drylane/playback/rehearsal"
	"drylane/playback/sink"
	"drylane/testdata/reftest"
)

// Every command that listens decodes nothing the second time, and says the same. What the console wants at its start is kept by the others.
func TestListenedToOnce(t *testing.T) {
	ffmpeg := reftest.Tool(t, "ffmpeg")
	cache.Use(cache.New(t.TempDir(), 64<<20))
	defer cache.Use(nil)
	stick := t.TempDir()
	dir := filepath.Join(t.TempDir(), "show")
	if err := (newCmd{Dir: dir}).Run(&env{ctx: t.Context(), out: io.Discard, errOut: io.Discard}); err != nil {
		t.Fatal(err)
	}
	music, coded := filepath.Join(dir, "soundtrack.wav"), filepath.Join(stick, "soundtrack.mp3")
	if out, err := exec.Command(ffmpeg, "-loglevel", "error", "-i", music, coded).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for _, c := range []struct {
		name string
		anew bool // the first time, when those before have run
		run  func(e *env) error
	}{
		{"review", true, reviewCmd{Dir: dir, Cues: true}.Run},
		{"console", false, func(e *env) error { return startConsole(t, dir) }},
		{"places", true, placesCmd{Dir: dir, RunUp: 4 * time.Second}.Run},
		{"info", true, infoCmd{File: music}.Run},
		{"compare", true, compareCmd{A: music, B: coded}.Run},
		{"check --media", true, (&checkCmd{Dir: dir, Media: stick}).Run},
		{"loudness", true, loudnessCmd{File: coded}.Run},
		{"onsets", true, onsetsCmd{File: coded}.Run},
		{"lock", false, lockCmd{Dir: dir}.Run},
	} {
		var said [2]bytes.Buffer
		var frames [2]int64
		for i := range said {
			os.Remove(filepath.Join(dir, "show.lock"))
			before := playback.Decoded()
			if err := c.run(&env{ctx: t.Context(), out: &said[i], errOut: io.Discard}); err != nil && !errors.Is(err, errSilent) {
				t.Fatalf("%s: %v", c.name, err)
			}
			frames[i] = playback.Decoded() - before
		}
		if frames[1] != 0 || !bytes.Equal(said[0].Bytes(), said[1].Bytes()) {
			t.Errorf("%s: %d frames were decoded, then %d, and it said\n%s then\n%s", c.name, frames[0], frames[1], &said[0], &said[1])
		}
		if anew := frames[0] > 0; anew != c.anew {
			t.Errorf("%s: the first time %d frames were decoded", c.name, frames[0])
		}
	}
}

// startConsole does what the start of a console waits for, and what it does behind.
func startConsole(t *testing.T, dir string) error {
	l, err := folder.Open(dir)
	if err != nil {
		return err
	}
	defer l.Close()
	r, err := rehearsal.New(l, rehearsal.Options{Log: filepath.Join(t.TempDir(), "log.jsonl"), Out: sink.Place{Where: "silent", Speed: "1"}})
	if err != nil {
		return err
	}
	o := rehearsal.NewOverview(l)
	o.Build(t.Context())
	start, marks := accents.Earlier(l, r.Plan)
	start()
	for wait := time.Now().Add(reftest.Patience); marks() == nil; time.Sleep(time.Millisecond) {
		if time.Now().After(wait) {
			return errors.New("no marks of the review")
		}
	}
	if done, _ := o.Progress(); done != 1 {
		t.Errorf("the waveform is there to %.2f", done)
	}
	r.Deck.Quit()
	_, err = r.End(r.Deck.Run(t.Context()))
	return err
}
