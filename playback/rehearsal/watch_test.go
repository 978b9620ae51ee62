package rehearsal

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"drylane/playback/deck"
	"drylane/playback/folder"
	"drylane/playback/sink"
	"drylane/show"
	"drylane/testdata"
)

// TestMusicChangesBeneathARun: the run is held and says why, and is not resumed.
func TestMusicChangesBeneathARun(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, testdata.Demo()); err != nil {
		t.Fatal(err)
	}
	l, err := folder.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	r, err := New(l, Options{Log: filepath.Join(t.TempDir(), "log.jsonl"), Out: sink.Place{Where: "silent", Speed: "1"}, Bangs: Bangs{Side: "both"}})
	if err != nil {
		t.Fatal(err)
	}
	defer r.watch(time.Millisecond)()
	stop := r.Go(t.Context())
	do := func(a show.Action) { r.Deck.Command(show.Command{Action: a, Anyway: true}, time.Now()) }
	do(show.Arm)
	do(show.Start)
	waitFor(t, r.Deck, "running", func(s *deck.Snapshot) bool { return s.Transport.State() == show.Running })
	if err := os.Truncate(filepath.Join(dir, "soundtrack.mp3"), 1000); err != nil {
		t.Fatal(err)
	}
	s := waitFor(t, r.Deck, "held", func(s *deck.Snapshot) bool { return s.Transport.State() == show.Held })
	if !strings.HasPrefix(s.Message.Text, "HELD: the soundtrack's file changed while it was open") {
		t.Errorf("said %q", s.Message.Text)
	}
	do(show.Resume)
	waitFor(t, r.Deck, "refused", func(s *deck.Snapshot) bool { return s.Refused > 0 })
	if _, err := r.End(stop()); err != nil {
		t.Error(err)
	}
	log, err := os.ReadFile(r.Log.Name())
	if err != nil || !strings.Contains(string(log), "the soundtrack's file changed while it was open") {
		t.Errorf("the log does not say why: %v", err)
	}
}
