package reftest

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"
)

// A Pulse is a private PulseAudio server with one virtual sink, which plays
// into nothing in real time. It shares no state with any other server.
type Pulse struct {
	Server  string // for PULSE_SERVER
	Sink    string // the sink's name
	Monitor string // the source on which the sink's sound can be recorded
	cmd     *exec.Cmd
	dir     string
}

// StartPulse starts a private sound server, whose sink runs at rate until the test
// ends. Whoever calls it is a test in real time.
func StartPulse(t testing.TB, rate int) *Pulse {
	t.Helper()
	RealTime(t)
	path := Tool(t, "pulseaudio")
	dir, err := os.MkdirTemp("", "pulse") // a socket's path must be short
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	socket := filepath.Join(dir, "s")
	p := &Pulse{Server: "unix:" + socket, Sink: "rehearsal", Monitor: "rehearsal.monitor", dir: dir}
	var log bytes.Buffer
	p.cmd = exec.Command(path, "-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no", "--disable-shm",
		"-L", fmt.Sprintf("module-null-sink sink_name=%s rate=%d channels=2 format=float32le sink_properties=device.description=Rehearsal", p.Sink, rate),
		"-L", "module-native-protocol-unix auth-anonymous=1 socket="+socket)
	p.cmd.Env, p.cmd.Stdout, p.cmd.Stderr = p.env(), &log, &log
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(p.Kill)
	for deadline := time.Now().Add(Patience); ; time.Sleep(5 * time.Millisecond) {
		if conn, err := net.Dial("unix", socket); err == nil {
			conn.Close()
			return p
		}
		if time.Now().After(deadline) {
			p.Kill()
			t.Fatalf("the private sound server does not answer: %s", log.String())
		}
	}
}

func (p *Pulse) env() []string {
	return append(os.Environ(), "HOME="+p.dir, "XDG_RUNTIME_DIR="+p.dir, "XDG_CONFIG_HOME="+p.dir, "PULSE_SERVER="+p.Server)
}

// Kill ends the server at once, as a crash would. A second call is a no-op.
func (p *Pulse) Kill() {
	p.cmd.Process.Kill()
	p.cmd.Wait()
}

// Control runs pactl on the server and returns what it printed.
func (p *Pulse) Control(t testing.TB, args ...string) string {
	t.Helper()
	cmd := exec.Command(Tool(t, "pactl"), args...)
	cmd.Env = p.env()
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("pactl %v: %v: %s", args, err, out)
	}
	return string(out)
}

// A Recording takes down what a monitor source hears.
type Recording struct {
	cmd     *exec.Cmd
	mu      sync.Mutex
	raw     []byte
	stopped chan struct{}
}

// Record starts to record the monitor source of server with parec, in stereo
// 32-bit floats at rate, which should be the sink's own. It returns once sound
// (or silence) comes in.
func Record(t testing.TB, server, monitor string, rate int) *Recording {
	t.Helper()
	return record(t, server, monitor, rate, "--channels=2")
}

// record is Record with the channels that options tell.
func record(t testing.TB, server, monitor string, rate int, options ...string) *Recording {
	t.Helper()
	r := &Recording{stopped: make(chan struct{})}
	r.cmd = exec.Command(Tool(t, "parec"), append(options, "--server="+server, "--device="+monitor, "--raw",
		"--format=float32le", fmt.Sprintf("--rate=%d", rate), "--latency-msec=20")...)
	pipe, err := r.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := r.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { r.cmd.Process.Kill(); <-r.stopped; r.cmd.Wait() })
	go r.take(pipe)
	r.waitFor(t, 1)
	return r
}

// Tape adds a device to the server that keeps exactly what it plays, makes it
// the default and starts to take its sound down. Unlike the virtual sink it
// cannot take back what the server has handed to it, as many real devices
// cannot; and where a monitor source loses the frames that a device takes back,
// or that a busy machine is late for, here nothing is lost: time stands still.
func (p *Pulse) Tape(t testing.TB, rate int) *Recording {
	t.Helper()
	pipe := p.pipeSink(t, rate)
	r := &Recording{stopped: make(chan struct{})}
	go r.take(&paced{pipe, rate * 8, time.Now()})
	t.Cleanup(func() { p.Kill(); pipe.Close(); <-r.stopped })
	return r
}

// pipeSink adds a device to the server that plays into a pipe, and makes it the default.
func (p *Pulse) pipeSink(t testing.TB, rate int) *os.File {
	t.Helper()
	fifo := filepath.Join(p.dir, "tape")
	pipe, err := smallFIFO(fifo)
	if err != nil {
		t.Fatal(err)
	}
	p.Control(t, "load-module", "module-pipe-sink", "sink_name=tape", "file="+fifo, "format=float32le", "channels=2",
		fmt.Sprintf("rate=%d", rate), "sink_properties=device.description=Tape")
	p.Control(t, "set-default-sink", "tape")
	return pipe
}

// paced reads no faster than rate bytes a second, and does not make up for
// lost time.
type paced struct {
	io.Reader
	rate int
	last time.Time
}

func (p *paced) Read(buf []byte) (int, error) {
	const tick = 5 * time.Millisecond
	due := p.last.Add(tick)
	time.Sleep(time.Until(due))
	p.last = due
	if now := time.Now(); now.Sub(due) > tick {
		p.last = now
	}
	n := int(int64(p.rate) * int64(tick) / int64(time.Second))
	return p.Reader.Read(buf[:min(n, len(buf))])
}

// take collects what comes from pipe until it ends.
func (r *Recording) take(pipe io.Reader) {
	defer close(r.stopped)
	buf := make([]byte, 1<<16)
	for {
		n, err := pipe.Read(buf)
		r.mu.Lock()
		r.raw = append(r.raw, buf[:n]...)
		r.mu.Unlock()
		if err != nil {
			return
		}
	}
}

// Frames waits until n frames are in and returns all that have come so far.
func (r *Recording) Frames(t testing.TB, n int) [][2]float32 {
	t.Helper()
	r.waitFor(t, 8*n)
	r.mu.Lock()
	defer r.mu.Unlock()
	frames := make([][2]float32, len(r.raw)/8)
	if _, err := binary.Decode(r.raw, binary.LittleEndian, frames); err != nil {
		t.Fatal(err)
	}
	return frames
}

// Len returns how many frames have come in.
func (r *Recording) Len() int {
	r.mu.Lock()
	defer r.mu.Unlock()
	return len(r.raw) / 8
}

func (r *Recording) waitFor(t testing.TB, bytes int) {
	t.Helper()
	for deadline := time.Now().Add(Patience); ; time.Sleep(2 * time.Millisecond) {
		r.mu.Lock()
		n := len(r.raw)
		r.mu.Unlock()
		if n >= bytes {
			return
		}
		if time.Now().After(deadline) {
			t.Fatalf("the recording has %d bytes after %v, want %d", n, Patience, bytes)
		}
	}
}
