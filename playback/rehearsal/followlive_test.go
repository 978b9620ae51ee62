package rehearsal

import (
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"drylane/playback/follow"
	"drylane/playback/sink"
	"drylane/show"
	"drylane/show/session"
	"drylane/testdata/reftest"
)

// A player is another program that plays frames at 44100 on a sound server.
type player struct {
	in  io.WriteCloser
	cmd *exec.Cmd
}

func startPlayer(t *testing.T, server *reftest.Pulse) *player {
	t.Helper()
	p := &player{cmd: exec.Command(reftest.Tool(t, "pacat"), "--server="+server.Server, "--device="+server.Sink, "--raw",
		"--format=float32le", "--channels=2", "--rate=44100", "--latency-msec=200")}
	var err error
	if p.in, err = p.cmd.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { p.in.Close(); p.cmd.Process.Kill(); p.cmd.Wait() })
	return p
}

// play plays frames, at the device's pace, and returns when the last have been handed over.
func (p *player) play(t *testing.T, frames [][2]float64) {
	t.Helper()
	var b []byte
	for _, f := range frames {
		for _, x := range f {
			b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(x)))
		}
	}
	if _, err := p.in.Write(b); err != nil {
		t.Fatal(err)
	}
}

// TestRealTimeFollow follows the timecode of another program through a sound server,
// which holds twice: each is a hold here, within the carry of the place, and a resume
// when it plays on; every cue fires on its frame. On a machine so busy that the other
// program stutters there are more holds, and it is tried again.
func TestRealTimeFollow(t *testing.T) {
	reftest.RealTime(t)
	track := builtTrack(t)
	stops := []int{6 * 44100, 11.5 * 44100}
	for attempt := 1; ; attempt++ {
		log := followPlayer(t, "timecode", track[:16*44100], stops)
		holds, resumed := stopsOf(log)
		if len(holds) != len(stops)+1 && attempt < reftest.Tries { // the last is the end
			t.Logf("attempt %d: %d holds; once more", attempt, len(holds))
			continue
		}
		if len(holds) != len(stops)+1 || len(resumed) != len(stops) {
			t.Fatalf("%d holds, %d resumes: %s", len(holds), len(resumed), followedWords(log))
		}
		for k, at := range stops {
			past := holds[k].Heard - int64(at)
			t.Logf("hold %d: %.0f ms behind the place, resumed by %s", k+1, float64(past)/44.1, resumed[k])
			if past < -2*1764 || past > carry || resumed[k] != show.ByPlayer || holds[k].By != show.ByPlayer {
				t.Errorf("hold %d by %s, %d frames behind the place, resumed by %s", k+1, holds[k].By, past, resumed[k])
			}
		}
		checkFollowed(t, log)
		return
	}
}

// checkFollowed checks that each cue up to the end fired, and on its frame.
func checkFollowed(t *testing.T, log *session.Log) {
	t.Helper()
	end := log.Entries[len(log.Entries)-1].Heard
	var want []string
	for i, c := range log.Header.Plan().Cues {
		if int64(c.Ignite) <= end {
			want = append(want, fmt.Sprintf("%s fired at %d", log.Header.Cues[i].ID, c.Ignite))
		}
	}
	if got := firings(log); !slices.Equal(got, want) || len(want) < 5 {
		t.Errorf("%d firings, want %d: %s", len(got), len(want), firstOff(got, want))
	}
}

// TestRealTimeFollowMusic is TestRealTimeFollow by ear, with one stop.
func TestRealTimeFollowMusic(t *testing.T) {
	reftest.RealTime(t)
	const stop = 10 * 44100 // what comes then comes once in the piece: it is known soon
	for attempt := 1; ; attempt++ {
		log := followPlayer(t, "music", demoMusic(t)[:16*44100], []int{stop})
		holds, resumed := stopsOf(log)
		if (len(holds) != 2 || len(resumed) != 1) && attempt < reftest.Tries { // the last hold is the end
			t.Logf("attempt %d: %d holds; once more: %s", attempt, len(holds), followedWords(log))
			continue
		}
		if len(holds) != 2 || len(resumed) != 1 {
			t.Fatalf("%d holds, %d resumes: %s", len(holds), len(resumed), followedWords(log))
		}
		past := float64(holds[0].Heard-stop) / 44100
		t.Logf("held %.2f s behind the place, resumed by %s", past, resumed[0])
		if past < 0 || past > 1.5 || resumed[0] != show.ByPlayer || holds[0].Data.Cause != show.CauseMusicStopped {
			t.Errorf("held by %s (%s), %.2f s behind the place, resumed by %s", holds[0].By, holds[0].Data.Cause, past, resumed[0])
		}
		checkFollowed(t, log)
		return
	}
}

// followPlayer follows a player that plays frames and pauses for 2 s at some of them.
func followPlayer(t *testing.T, what string, frames [][2]float64, stops []int) *session.Log {
	t.Helper()
	server := reftest.StartPulse(t, 48000)
	t.Setenv("PULSE_SERVER", server.Server)
	l := openTracked(t)
	defer l.Close()
	steps := steps(t, "+0 arm\n")
	r, err := New(l, Options{Log: filepath.Join(t.TempDir(), "log.jsonl"), Script: steps, Out: sink.Place{Where: "auto", Speed: "1"},
		Bangs: Bangs{Side: "both", Level: -12}, Following: Following{What: what + "@device:" + server.Monitor}})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	done := make(chan error, 1)
	go func() { done <- r.Deck.Run(ctx) }()
	for d := time.Now().Add(reftest.Patience); time.Now().Before(d); time.Sleep(10 * time.Millisecond) {
		if s := r.Deck.Snapshot(); s.Transport.State() == show.Armed && s.Follow != nil && s.Follow.Now.Why != follow.Preparing {
			break
		}
	}
	p := startPlayer(t, server)
	from := 0
	for _, at := range append(slices.Clone(stops), len(frames)) {
		p.play(t, frames[from:at])
		time.Sleep(2500 * time.Millisecond) // the player stands still
		from = at
	}
	cancel()
	return replayed(t, r, <-done)
}
