package rehearsal

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"drylane/playback/folder"
	"drylane/playback/sessions"
	"drylane/playback/sink"
	"drylane/show"
	"drylane/show/session"
	"drylane/testdata/reftest"
)

// sleepRig is a run without a person, on a private sound server whose devices can
// be put to sleep.
type sleepRig struct {
	*Run
	t      *testing.T
	server *reftest.Pulse
	music  []float32
	path   string
}

// startSleep arms and starts a show of noise, with one second of it heard.
func startSleep(t *testing.T, server *reftest.Pulse, o Options) *sleepRig {
	t.Helper()
	const rate, seconds = 48000, 30
	r := &sleepRig{t: t, server: server}
	dir := t.TempDir()
	r.music = writeNoiseShow(t, dir, rate, seconds)
	list, err := os.OpenFile(filepath.Join(dir, "show.toml"), os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := list.WriteString("[[track]]\nfile = \"code.wav\"\nleft = \"music left\"\n"); err != nil {
		t.Fatal(err)
	}
	list.Close()
	t.Setenv("PULSE_SERVER", server.Server)
	f, err := folder.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	r.path = filepath.Join(dir, "log.jsonl")
	o.Log, o.Bangs = r.path, Bangs{Side: "off"}
	if r.Run, err = New(f, o); err != nil {
		t.Fatal(err)
	}
	stop := r.Go(t.Context())
	t.Cleanup(func() { stop() })
	time.Sleep(3 * time.Second) // a device that was just opened is given time
	r.do(show.Arm)
	r.do(show.Start)
	r.until("it runs", func() bool { return r.Deck.Snapshot().Transport.State() == show.Running })
	r.heard(rate)
	return r
}

func (r *sleepRig) do(a show.Action) {
	r.Deck.Command(show.Command{Action: a, Anyway: true}, time.Now())
}

// until waits for something to be so in a snapshot.
func (r *sleepRig) until(what string, ok func() bool) {
	r.t.Helper()
	for deadline := time.Now().Add(reftest.Patience); !ok(); time.Sleep(2 * time.Millisecond) {
		if time.Now().After(deadline) {
			s := r.Deck.Snapshot()
			r.t.Fatalf("%s: not so: %v at %d, %q", what, s.Transport.State(), s.Transport.Heard(), s.Message.Text)
		}
	}
}

// heard waits until n more frames have been heard.
func (r *sleepRig) heard(n int) {
	r.t.Helper()
	from := r.Deck.Snapshot().Transport.Heard()
	r.until("the music goes on", func() bool { return int(r.Deck.Snapshot().Transport.Heard()-from) >= n })
}

func (r *sleepRig) entries() []session.Entry {
	r.t.Helper()
	log, err := sessions.Read(r.path)
	if err != nil {
		r.t.Fatal(err)
	}
	return log.Entries
}

// TestRealTimeSuspendedDeviceHolds puts the sound device to sleep while the music
// plays: the show is held at the frame last heard, and says why; it cannot be
// resumed until the device is awake, and then goes on from that frame.
func TestRealTimeSuspendedDeviceHolds(t *testing.T) {
	server := reftest.StartPulse(t, 48000)
	rec := reftest.Record(t, server.Server, server.Monitor, 48000)
	r := startSleep(t, server, Options{Out: sink.Place{Where: "device", Speed: "1"}})
	began := time.Now()
	server.Control(t, "suspend-sink", server.Sink, "1")
	slept := time.Now()
	r.until("it is held", func() bool { return r.Deck.Snapshot().Transport.State() == show.Held })
	t.Logf("held %v after pactl was called, %v after it was back", time.Since(began).Round(time.Millisecond), time.Since(slept).Round(time.Millisecond))
	if s := r.Deck.Snapshot(); s.Message.Text != "HELD: the sound device went silent: it is suspended" || !s.Lost {
		t.Errorf("lost %v, message %q", s.Lost, s.Message.Text)
	}
	at := r.Deck.Snapshot().Transport.Heard()
	r.do(show.Resume)
	r.until("the resume is refused", func() bool { return r.Deck.Snapshot().Refused == 1 })
	if s := r.Deck.Snapshot(); s.Transport.State() != show.Held || !strings.Contains(s.Message.Text, "the sound device is suspended") {
		t.Errorf("%v, message %q", s.Transport.State(), s.Message.Text)
	}
	server.Control(t, "suspend-sink", server.Sink, "0")
	r.until("it is running", func() bool {
		time.Sleep(50 * time.Millisecond)
		r.do(show.Resume)
		return r.Deck.Snapshot().Transport.State() == show.Running
	})
	r.heard(48000)
	r.do(show.Hold)
	r.until("it is held again", func() bool { return r.Deck.Snapshot().Transport.State() == show.Held })
	for _, e := range r.entries() {
		if e.Kind == "held" && e.Data.Cause == show.CauseDeviceSilent && e.Heard != int64(at) {
			t.Errorf("the log has the hold at %d, the console %d", e.Heard, at)
		}
		if e.Kind == "resumed" && e.Heard != int64(at) {
			t.Errorf("resumed at %d, held at %d", e.Heard, at)
		}
	}
	tape := rec.Frames(t, rec.Len()+24000)
	stops := standstills(tape, reftest.Trace(tape, r.music))
	found := false
	for _, s := range stops {
		t.Logf("the recording stands still before frame %d and goes on with %d; held at %d", s.end, s.begin, at)
		found = found || s.begin == int(at)
	}
	if !found {
		t.Errorf("the music does not go on from frame %d", at)
	}
}

// TestRealTimeSuspendedSecond puts the device of the second output to sleep and
// wakes it: the music goes on, each is told once, and when the second is said to
// be together again it is.
func TestRealTimeSuspendedSecond(t *testing.T) {
	if testing.Short() {
		t.Skip("the race detector makes rendering too slow for two outputs to be put right in time")
	}
	server := reftest.StartPulse(t, 48000)
	server.Control(t, "load-module", "module-null-sink", "sink_name=booth", "format=float32le", "channels=2", "rate=48000", "sink_properties=device.description=Booth")
	r := startSleep(t, server, Options{Out: sink.Place{Where: "device:rehearsal", Speed: "1"}, Listening: Listening{Beside: "code@device:booth"}})
	told := func() (did []session.Second) {
		for _, e := range r.entries() {
			if e.Kind == session.KindSecond {
				did = append(did, e.Data.Did)
			}
		}
		return did
	}
	count := func(what session.Second) (n int) {
		for _, did := range told() {
			if did == what {
				n++
			}
		}
		return n
	}
	for range 2 {
		mended := count(session.SecondMended)
		server.Control(t, "suspend-sink", "booth", "1")
		r.until("it is told", func() bool { return r.Deck.Snapshot().Second.Silent })
		r.heard(3 * 48000)
		if n := count(session.SecondMended); n != mended {
			t.Errorf("put right %d times while its device was asleep", n-mended)
		}
		server.Control(t, "suspend-sink", "booth", "0")
		r.until("it is right again", func() bool { return count(session.SecondMended) > mended })
		if off := r.Deck.Snapshot().Second.Off; off.Abs() > time.Millisecond {
			t.Errorf("said to be right, %v off", off)
		}
	}
	if s := r.Deck.Snapshot(); s.Transport.State() != show.Running || count(session.SecondSilent) != 2 {
		t.Errorf("%v; told of the second output: %q", s.Transport.State(), told())
	}
	// And the first: both stop, and nothing is put right against it.
	mended := count(session.SecondMended)
	server.Control(t, "suspend-sink", "rehearsal", "1")
	r.until("it is held", func() bool { return r.Deck.Snapshot().Transport.State() == show.Held })
	if n := count(session.SecondMended); n != mended {
		t.Errorf("put right %d times against a device that was asleep", n-mended)
	}
}
