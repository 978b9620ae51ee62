package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"drylane/playback/sessions"
	"drylane/show/session"
	"drylane/testdata/reftest"
)

// builtBinary builds the program once for all tests that need it.
var builtBinary = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "drylane")
	if err != nil {
		return "", err
	}
	binary := filepath.Join(dir, "drylane")
	if out, err := exec.Command("go", "build", "-o", binary, ".").CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w: %s", err, out)
	}
	return binary, nil
})

func buildBinary(t *testing.T) string {
	t.Helper()
	binary, err := builtBinary()
	if err != nil {
		t.Fatal(err)
	}
	return binary
}

// TestRealTimeKillLosesNothing kills runs at random moments. What had been shown as
// logged is in the file, which reads and replays. Slow disks, and what a console
// shows, are TestShownIsWritten's, in playback/deck.
func TestRealTimeKillLosesNothing(t *testing.T) {
	reftest.RealTime(t)
	if testing.Short() {
		t.Skip("runs the program 200 times")
	}
	binary, dir := buildBinary(t), t.TempDir()
	script := filepath.Join(dir, "script")
	if err := os.WriteFile(script, []byte(killScript()), 0o600); err != nil {
		t.Fatal(err)
	}
	const runs, workers = 200, 4
	rng := rand.New(rand.NewPCG(1, 2))
	kills := make(chan time.Duration, runs)
	for range runs {
		kills <- time.Duration(rng.IntN(250)) * time.Millisecond
	}
	close(kills)
	var wg sync.WaitGroup
	var mu sync.Mutex
	total, torn := 0, 0
	for w := range workers {
		wg.Go(func() {
			n := 0
			for after := range kills {
				n++
				path := filepath.Join(dir, fmt.Sprintf("%d-%d.jsonl", w, n))
				shown := killedRun(t, binary, script, path, after)
				events, cut := survives(t, path, shown)
				mu.Lock()
				total += events
				if cut {
					torn++
				}
				mu.Unlock()
			}
		})
	}
	wg.Wait()
	t.Logf("%d runs killed, %d events read back, %d last lines cut off", runs, total, torn)
	if total < runs {
		t.Errorf("only %d events in all: the runs were killed before they began", total)
	}
}

// killScript is a run with something to log all the time.
func killScript() string {
	var b strings.Builder
	b.WriteString("+0 arm\n+0 start\n")
	for k := 1; k < 400; k++ {
		fmt.Fprintf(&b, "%.1f note number %d\n", float64(k)*0.3, k)
	}
	return b.String()
}

// killedRun starts a run and kills it that long after its first event; it
// returns the events that it had shown.
func killedRun(t *testing.T, binary, script, path string, after time.Duration) (shown []session.Entry) {
	cmd := exec.Command(binary, "demo", "--auto", script, "--out", "silent", "--speed", "100", "--json", "--log", path)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Error(err)
		return nil
	}
	if err := cmd.Start(); err != nil {
		t.Error(err)
		return nil
	}
	lines := bufio.NewScanner(out)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		var line struct{ Event *session.Entry }
		if json.Unmarshal(lines.Bytes(), &line) != nil || line.Event == nil {
			continue
		}
		if len(shown) == 0 {
			time.AfterFunc(after, func() { cmd.Process.Kill() })
		}
		shown = append(shown, *line.Event)
	}
	cmd.Wait()
	return shown
}

// survives reads the session of a killed run and holds it against what had
// been shown.
func survives(t *testing.T, path string, shown []session.Entry) (events int, torn bool) {
	log, err := sessions.Read(path)
	if err != nil {
		t.Errorf("%s: %v", path, err)
		return 0, false
	}
	if len(log.Entries) < len(shown) {
		t.Errorf("%s: %d events were shown, %d are in the file", path, len(shown), len(log.Entries))
		return 0, false
	}
	for i, e := range shown {
		if got := log.Entries[i]; got.N != e.N || got.Kind != e.Kind || got.Heard != e.Heard {
			t.Errorf("%s: event %d was shown as %s at %d, the file has %s at %d", path, e.N, e.Kind, e.Heard, got.Kind, got.Heard)
		}
	}
	if _, err := session.Replay(log); err != nil {
		t.Errorf("%s: %v", path, err)
	}
	return len(log.Entries), log.Torn
}
