package console

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/folder"
	"drylane/playback/rehearsal"
	"drylane/playback/sessions"
	"drylane/playback/sink"
	"drylane/playback/wavtest"
	"drylane/show"
	"drylane/show/session"
	"drylane/testdata/reftest"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"
)

// soakFolder is a show of five minutes with two cues a second and a companion.
func soakFolder(t *testing.T) string {
	t.Helper()
	const rate, seconds = 48000, 300
	dir := t.TempDir()
	second := make([][2]float64, rate)
	for i := range second {
		v := rand.Float64() - 0.5
		second[i] = [2]float64{v, -v}
	}
	wavtest.Stream(t, filepath.Join(dir, "music.wav"), rate, 2, func(w *playback.WAVWriter) error {
		for range seconds {
			if err := w.Write(second); err != nil {
				return err
			}
		}
		return nil
	})
	var cues strings.Builder
	cues.WriteString("cue,effect_at,prefire,position,effect,burn\n")
	for i := range 2*seconds - 10 {
		fmt.Fprintf(&cues, "%d,%.1f,%d,%c,candle shot,1\n", i+1, 3+float64(i)/2, i%3, 'A'+i%4)
	}
	for name, text := range map[string]string{
		"cues.csv": cues.String(),
		"show.toml": "title = \"Soak\"\ncues = \"cues.csv\"\nsoundtrack.file = \"music.wav\"\n" +
			"[[track]]\nfile = \"code.wav\"\nleft = \"music left\"\nright = \"timecode 25 01:00:00:00 -6 dB\"\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// A device is a virtual one of the server, which can be put to sleep and pulled out.
type device struct {
	t      *testing.T
	server *reftest.Pulse
	name   string
	module string
}

func (d *device) plug() {
	d.module = strings.TrimSpace(d.server.Control(d.t, "load-module", "module-null-sink", "sink_name="+d.name,
		"format=float32le", "channels=2", "rate=48000", "sink_properties=device.description="+d.name))
}
func (d *device) pull()           { d.server.Control(d.t, "unload-module", d.module) }
func (d *device) sleep(on string) { d.server.Control(d.t, "suspend-sink", d.name, on) }

// A stalling terminal takes what is drawn, but for the times when it does not.
type stallingTerminal struct {
	*os.File
	stalled atomic.Bool
}

func newStallingTerminal(t *testing.T) (*stallingTerminal, *os.File) {
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	x := &stallingTerminal{File: w}
	go func() {
		buf := make([]byte, 1<<16)
		for {
			if x.stalled.Load() {
				time.Sleep(10 * time.Millisecond)
				continue
			}
			if _, err := r.Read(buf); err != nil {
				return
			}
		}
	}()
	return x, r
}

// TestRealTimeSoak rehearses in real time, on a sound server's devices that fall
// asleep and are pulled out, with a companion on a second one and a console on a
// terminal that stalls. At the end nothing is held that was not at the start, the
// log reads, and its replay fires the same.
func TestRealTimeSoak(t *testing.T) {
	length := reftest.Soak(t)
	server := reftest.StartPulse(t, 48000)
	t.Setenv("PULSE_SERVER", server.Server)
	front, rear := &device{t: t, server: server, name: "front"}, &device{t: t, server: server, name: "rear"}
	front.plug()
	rear.plug()
	f, err := folder.Open(soakFolder(t))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	log := filepath.Join(t.TempDir(), "log.jsonl")
	r, err := rehearsal.New(f, rehearsal.Options{Log: log, Out: sink.Place{Where: "device:front", Speed: "1"},
		Bangs: rehearsal.Bangs{Side: "both"}, Listening: rehearsal.Listening{Beside: "code@device:rear"}})
	if err != nil {
		t.Fatal(err)
	}
	stop := r.Go(t.Context())
	terminal, read := newStallingTerminal(t)
	defer read.Close()
	screenDone := runScreen(t, r, terminal)

	done := soakKeys(t, r, front, rear, terminal, length)

	terminal.stalled.Store(false)
	screenDone()
	if err := stop(); err != nil {
		t.Error(err)
	}
	if _, err := r.End(nil); err != nil {
		t.Error(err)
	}
	checkSoakLog(t, log, done)
}

// runScreen shows the console of a run on a terminal.
func runScreen(t *testing.T, r *rehearsal.Run, out *stallingTerminal) (stop func()) {
	t.Helper()
	keys, err := screen.NewKeymap(Keys, nil)
	if err != nil {
		t.Fatal(err)
	}
	theme := func(name string) *screen.Theme { return screen.NewTheme(name, termenv.TrueColor) }
	m := New(Setup{Show: r.Show, Plan: r.Plan, Run: r.Deck, Keys: keys, Look: screen.Look{Theme: theme("dark"), Themes: theme}, Now: time.Now})
	p := tea.NewProgram(m, tea.WithInput(nil), tea.WithOutput(out), tea.WithFPS(30), tea.WithoutSignalHandler())
	var wg sync.WaitGroup
	wg.Go(func() {
		if _, err := p.Run(); err != nil {
			t.Error(err)
		}
	})
	p.Send(tea.WindowSizeMsg{Width: 120, Height: 36})
	return func() { p.Quit(); wg.Wait(); out.Close() }
}

// soakKeys lets things happen to a run for so long and returns how often what did.
func soakKeys(t *testing.T, r *rehearsal.Run, front, rear *device, terminal *stallingTerminal, length time.Duration) map[string]int {
	rng, done := rand.New(rand.NewPCG(1, 60)), map[string]int{}
	pause := func(ms int) { time.Sleep(time.Duration(ms/2+rng.IntN(ms)) * time.Millisecond) }
	do := func(a show.Action, c show.Command) { c.Action = a; r.Deck.Command(c, time.Now()) }
	onward := map[show.State]show.Action{show.Safe: show.Arm, show.Armed: show.Start, show.Held: show.Resume, show.Ended: show.Reset}
	lane := show.Group{By: show.LanesByPosition, Name: "B"}
	census := reftest.NewCensus(t)
	began := time.Now()
	for next := length / 10; time.Since(began) < length; pause(700) {
		if passed := time.Since(began); passed >= next {
			census.Take(passed)
			next += length / 10
		}
		if a, ok := onward[r.Deck.Snapshot().Transport.State()]; ok {
			do(a, show.Command{})
			continue
		}
		what := ""
		switch n := rng.IntN(100); {
		case n < 30:
			what = "held"
			do(show.Hold, show.Command{})
		case n < 55:
			what = "nudged"
			do(show.Nudge, show.Command{Step: time.Duration(rng.IntN(11)-5) * 100 * time.Millisecond})
		case n < 62:
			what = "tapped"
			r.Deck.Do(show.ScriptAction{Kind: show.KindTap}, time.Now())
		case n < 66:
			what = "stood down"
			do(show.StandDown, show.Command{Group: lane})
			pause(500)
			do(show.BringBack, show.Command{Group: lane})
		case n < 73:
			what = "device asleep"
			front.sleep("1")
			pause(1000)
			front.sleep("0")
		case n < 80:
			what = "second asleep"
			rear.sleep("1")
			pause(1000)
			rear.sleep("0")
		case n < 84:
			what = "device pulled"
			front.pull()
			pause(1000)
			front.plug()
		case n < 88:
			what = "second pulled"
			rear.pull()
			pause(1000)
			rear.plug()
		default:
			what = "terminal stalled"
			terminal.stalled.Store(true)
			pause(3000)
			terminal.stalled.Store(false)
		}
		done[what]++
	}
	census.Take(time.Since(began))
	census.Check()
	return done
}

// checkSoakLog reads the log of a soak and runs it again, and counts what it has.
func checkSoakLog(t *testing.T, path string, done map[string]int) {
	t.Helper()
	log, err := sessions.Read(path)
	if err != nil {
		t.Fatal(err)
	}
	if agreed, err := session.Replay(log); err != nil {
		t.Errorf("replay: %d events agreed, then %v", agreed, err)
	}
	for _, e := range log.Entries {
		switch {
		case e.Kind == session.KindSecond:
			done["log: second "+string(e.Data.Did)]++
		case e.Data.Cause != show.NoCause:
			done["log: "+string(e.Data.Cause)]++
		default:
			done["log: "+e.Kind]++
		}
	}
	reftest.Happened(t, done)
}
