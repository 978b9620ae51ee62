package main

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"drylane/testdata/reftest"

	"golang.org/x/sys/unix"
)

// TestRealTimeHugeWindow: a terminal that says it is 20,000 by 20,000 gets a screen,
// and the program stays as small as it is.
func TestRealTimeHugeWindow(t *testing.T) {
	reftest.RealTime(t)
	const limit = 300 << 10 // resident at most, in KiB
	master, slave := openPty(t)
	if err := unix.IoctlSetWinsize(int(slave.Fd()), unix.TIOCSWINSZ, &unix.Winsize{Row: 20000, Col: 20000}); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	cmd := exec.Command(buildBinary(t), "demo", "--out", "silent", "--log", filepath.Join(dir, "log"))
	cmd.Env = append(os.Environ(), "TERM=xterm-256color", "XDG_STATE_HOME="+dir, "XDG_CONFIG_HOME="+dir, "XDG_CACHE_HOME="+dir)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = slave, slave, slave
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	slave.Close()
	shown := make(chan struct{})
	go func() {
		defer close(shown)
		var seen []byte
		for buf := make([]byte, 1<<16); !bytes.Contains(seen, []byte("Harbour Evening")); {
			n, err := master.Read(buf)
			if err != nil {
				t.Error("nothing was drawn:", err)
				return
			}
			seen = append(seen, buf[:n]...)
		}
		go io.Copy(io.Discard, master)
	}()
	select {
	case <-shown:
	case <-time.After(reftest.Patience):
		t.Error("nothing was drawn")
	}
	if err := cmd.Process.Signal(syscall.SIGTERM); err != nil {
		t.Error(err)
	}
	cmd.Wait()
	used := cmd.ProcessState.SysUsage().(*syscall.Rusage).Maxrss // in KiB
	t.Logf("%d MiB at most", used>>10)
	if used > limit {
		t.Errorf("%d MiB; wanted less than %d", used>>10, limit>>10)
	}
}
