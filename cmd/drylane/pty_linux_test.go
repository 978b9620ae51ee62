package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"drylane/show/session"
	"drylane/testdata/reftest"

	"golang.org/x/sys/unix"
)

// A laggy is a terminal at the far end of a link: the test writes its keys, and it
// reads what the program draws only while the test lets it.
type laggy struct {
	t       *testing.T
	master  *os.File
	cmd     *exec.Cmd
	log     string
	ended   chan struct{} // the program has; then err says how
	err     error
	stalled atomic.Bool

	mu    sync.Mutex
	drawn bytes.Buffer // what was read since sees last looked
	all   bytes.Buffer // what was read
}

// openLaggy runs the program in such a terminal, 120 columns wide, with a session
// log of its own. Whoever calls it is a test in real time.
func openLaggy(t *testing.T, args ...string) *laggy {
	t.Helper()
	reftest.RealTime(t)
	if testing.Short() {
		t.Skip("builds the program and runs it in real time")
	}
	dir := t.TempDir()
	x := &laggy{t: t, log: filepath.Join(dir, "log.jsonl"), ended: make(chan struct{})}
	var slave *os.File
	x.master, slave = openPTY(t)
	for i, a := range args {
		args[i] = strings.ReplaceAll(a, "LOG", x.log)
	}
	x.cmd = exec.Command(buildBinary(t), args...)
	x.cmd.Env = append(os.Environ(), "HOME="+dir, "XDG_DATA_HOME="+dir, "XDG_STATE_HOME="+dir, "XDG_CONFIG_HOME="+dir, "XDG_CACHE_HOME="+dir,
		"PULSE_SERVER=unix:"+dir+"/none", "LANG=C.UTF-8", "TERM=tmux-256color", "COLORTERM=truecolor") // of which no colours are asked
	seen := filepath.Join(dir, "drylane", "shown-first")
	if err := errors.Join(os.MkdirAll(filepath.Dir(seen), 0o700), os.WriteFile(seen, nil, 0o600)); err != nil {
		t.Fatal(err)
	}
	x.cmd.Stdin, x.cmd.Stdout, x.cmd.Stderr = slave, slave, slave
	x.cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	if err := x.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	slave.Close()
	go x.read()
	go func() { x.err = x.cmd.Wait(); close(x.ended) }()
	t.Cleanup(func() {
		x.cmd.Process.Kill()
		<-x.ended
		x.master.Close()
	})
	return x
}

// openPTY opens both ends of a terminal.
func openPTY(t testing.TB) (master, slave *os.File) {
	t.Helper()
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	fd := int(master.Fd())
	n, err := unix.IoctlGetInt(fd, unix.TIOCGPTN)
	if err := errors.Join(err, unix.IoctlSetPointerInt(fd, unix.TIOCSPTLCK, 0), resize(master, 120)); err != nil {
		t.Fatal(err)
	}
	slave, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", n), os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	return master, slave
}

// resize gives a terminal that many columns.
func resize(master *os.File, width uint16) error {
	return unix.IoctlSetWinsize(int(master.Fd()), unix.TIOCSWINSZ, &unix.Winsize{Row: 36, Col: width})
}

// read takes what is drawn, unless the link stalls.
func (x *laggy) read() {
	b := make([]byte, 4096)
	for {
		if x.stalled.Load() {
			time.Sleep(time.Millisecond)
			continue
		}
		n, err := x.master.Read(b)
		x.mu.Lock()
		x.drawn.Write(b[:n])
		x.all.Write(b[:n])
		x.mu.Unlock()
		if err != nil {
			return
		}
	}
}

// press writes keys, all at once.
func (x *laggy) press(keys string) {
	x.t.Helper()
	if _, err := x.master.WriteString(keys); err != nil {
		x.t.Fatal(err)
	}
}

// await waits until something is so.
func (x *laggy) await(what string, is func() bool) {
	x.t.Helper()
	for deadline := time.Now().Add(reftest.Patience); !is(); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(deadline) {
			x.t.Fatalf("%s: not in %v; the log has %s", what, reftest.Patience, kinds(x.entries()))
		}
	}
}

// sees waits until a text has been drawn.
func (x *laggy) sees(text string) {
	x.t.Helper()
	x.await("drawn: "+text, func() bool {
		x.mu.Lock()
		defer x.mu.Unlock()
		if !bytes.Contains(x.drawn.Bytes(), []byte(text)) {
			return false
		}
		x.drawn.Reset()
		return true
	})
}

// stall stops reading, and has the whole screen drawn anew until the program can
// write nothing more.
func (x *laggy) stall() {
	x.t.Helper()
	x.stalled.Store(true)
	waiting := func() int {
		n, err := unix.IoctlGetInt(int(x.master.Fd()), unix.TIOCINQ)
		if err != nil {
			x.t.Fatal(err)
		}
		return n
	}
	for full, last, width := 0, -1, uint16(120); full < 10; width ^= 1 {
		if err := resize(x.master, width); err != nil {
			x.t.Fatal(err)
		}
		time.Sleep(50 * time.Millisecond)
		if n := waiting(); n > 0 && n == last {
			full++
		} else {
			full, last = 0, n
		}
	}
}

func (x *laggy) goOn() { x.stalled.Store(false) }

// entries are those of the session log that are on disk, but for what comes by
// itself: cues, and a machine that is busy.
func (x *laggy) entries() (list []session.Entry) {
	b, _ := os.ReadFile(x.log)
	for line := range bytes.Lines(b) {
		var e session.Entry
		if json.Unmarshal(line, &e) != nil || e.N == 0 {
			continue
		}
		switch e.Kind {
		case "fired", "skipped", "moved", "broke", session.KindUnderrun:
		default:
			list = append(list, e)
		}
	}
	return list
}

// logs waits until an entry of that kind is the last in the log.
func (x *laggy) logs(kind string) session.Entry {
	x.t.Helper()
	var last session.Entry
	x.await("logged: "+kind, func() bool {
		if list := x.entries(); len(list) > 0 {
			last = list[len(list)-1]
		}
		return last.Kind == kind
	})
	return last
}

// kinds lists what entries are.
func kinds(list []session.Entry) string {
	var out []string
	for _, e := range list {
		out = append(out, e.Kind)
	}
	return strings.Join(out, " ")
}

// ends waits until the program has ended, and returns its exit code.
func (x *laggy) ends() int {
	x.t.Helper()
	select {
	case <-x.ended:
	case <-time.After(reftest.Patience):
		x.t.Fatalf("the program goes on; the log has %s", kinds(x.entries()))
	}
	return x.cmd.ProcessState.ExitCode()
}
