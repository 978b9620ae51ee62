package main

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"

	"golang.org/x/sys/unix"
)

// TestTerminalIsNotAsked: a terminal is asked nothing as the program starts, so one
// that answers nothing keeps nobody waiting.
func TestTerminalIsNotAsked(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program")
	}
	master, slave := openPty(t)
	cmd := exec.Command(buildBinary(t), "version")
	cmd.Env = append(os.Environ(), "TERM=xterm-256color", "COLORTERM=truecolor")
	cmd.Stdin, cmd.Stdout, cmd.Stderr = slave, slave, slave
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	slave.Close()
	said, _ := io.ReadAll(master) // ends with an error when the program has gone
	if err := cmd.Wait(); err != nil {
		t.Error(err)
	}
	if text := string(said); strings.Contains(text, "\x1b") || !strings.Contains(text, "drylane") {
		t.Errorf("the terminal was sent %q", text)
	}
}

// openPty opens a terminal that never answers.
func openPty(t *testing.T) (master, slave *os.File) {
	t.Helper()
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Skip("no terminals here:", err)
	}
	t.Cleanup(func() { master.Close() })
	fd := int(master.Fd())
	if err := unix.IoctlSetPointerInt(fd, unix.TIOCSPTLCK, 0); err != nil {
		t.Fatal(err)
	}
	n, err := unix.IoctlGetInt(fd, unix.TIOCGPTN)
	if err != nil {
		t.Fatal(err)
	}
	slave, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", n), os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	return master, slave
}
