package rehearsal

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"drylane/playback/deck"
	"drylane/playback/folder"
	"drylane/playback/sink"
	"drylane/show"
	"drylane/testdata"
	"drylane/testdata/reftest"
)

// waitFor polls a run until it is as wanted.
func waitFor(t *testing.T, d *deck.Deck, what string, ok func(*deck.Snapshot) bool) *deck.Snapshot {
	t.Helper()
	for deadline := time.Now().Add(reftest.Patience); time.Now().Before(deadline); time.Sleep(time.Millisecond) {
		if s := d.Snapshot(); ok(s) {
			return s
		}
	}
	s := d.Snapshot()
	t.Fatalf("never %s: %v at %d, lost %v, %q", what, s.Transport.State(), s.Transport.Heard(), s.Lost, s.Message.Text)
	return nil
}

// TestRealTimeServerDies kills the sound server in the middle of a run: the show is
// held and says why; it goes on silent when asked to, and with the device back.
func TestRealTimeServerDies(t *testing.T) {
	p := reftest.StartPulse(t, 48000)
	t.Setenv("PULSE_SERVER", p.Server)
	l, err := folder.OpenFS("demo", testdata.Demo())
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	r, err := New(l, Options{Log: filepath.Join(t.TempDir(), "log.jsonl"), Out: sink.Place{Where: "device", Speed: "1"}, Bangs: Bangs{Side: "both"}})
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan error, 1)
	go func() { done <- r.Deck.Run(t.Context()) }()
	do := func(a show.Action) { r.Deck.Command(show.Command{Action: a, Anyway: true}, time.Now()) }
	running := func(s *deck.Snapshot) bool { return s.Transport.State() == show.Running && s.Transport.Heard() > 20000 }
	held := func(s *deck.Snapshot) bool { return s.Transport.State() == show.Held }

	do(show.Arm)
	do(show.Start)
	waitFor(t, r.Deck, "running", running)
	p.Kill()
	s := waitFor(t, r.Deck, "held", held)
	if !s.Lost || !strings.Contains(s.Message.Text, "sound device went away") {
		t.Errorf("lost %v, message %q", s.Lost, s.Message.Text)
	}
	at := s.Transport.Heard()

	// The device stays away: resume says what can be done.
	do(show.Resume)
	waitFor(t, r.Deck, "refused", func(s *deck.Snapshot) bool { return strings.Contains(s.Message.Text, "go on silent") })

	// A server is back: resume goes on from the same frame.
	again := reftest.StartPulse(t, 48000)
	t.Setenv("PULSE_SERVER", again.Server)
	do(show.Resume)
	s = waitFor(t, r.Deck, "running again", func(s *deck.Snapshot) bool {
		return s.Transport.State() == show.Running && s.Transport.Heard() > at
	})
	if s.Lost || s.Silent {
		t.Errorf("lost %v, silent %v with the device back", s.Lost, s.Silent)
	}
	again.Kill()
	waitFor(t, r.Deck, "held again", held)
	r.Deck.Do(show.ScriptAction{Kind: show.KindSilent}, time.Now())
	do(show.Resume)
	waitFor(t, r.Deck, "running silent", func(s *deck.Snapshot) bool { return s.Silent && s.Transport.State() == show.Running })
	r.Deck.Quit()
	if err := <-done; err != nil {
		t.Error(err)
	}
}
