package main

import (
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"drylane/testdata/reftest"
)

// A terminal is a real terminal, by tmux, that a test types into and reads.
type terminal struct {
	t    *testing.T
	tmux string
	name string
}

// jobShell runs the program, tells when it was stopped, and then takes
// commands such as fg.
const jobShell = `set -m; "$0" "$@"
while [ -n "$(jobs -s)" ]; do echo stopped by the terminal; read -r word; $word; done
sleep 300`

// openTerminal runs the program in a terminal of that size. Whoever calls it is a
// test in real time.
func openTerminal(t *testing.T, width, height int, args ...string) *terminal {
	t.Helper()
	reftest.RealTime(t)
	tmux := reftest.Tool(t, "tmux")
	dir := t.TempDir()
	binary := buildBinary(t)
	term := &terminal{t, tmux, fmt.Sprintf("drylane-test-%d-%dx%d", os.Getpid(), width, height)}
	command := append([]string{"env", "HOME=" + dir, "XDG_DATA_HOME=" + dir, "XDG_STATE_HOME=" + dir, "XDG_CONFIG_HOME=" + dir,
		"PULSE_SERVER=unix:" + dir + "/none", "LANG=C.UTF-8", "bash", "--norc", "-i", "-c", jobShell, binary}, args...)
	start := append([]string{"-L", term.name, "-f", "/dev/null", "new-session", "-d", "-x", fmt.Sprint(width), "-y", fmt.Sprint(height)}, command...)
	cmd := exec.Command(tmux, start...)
	cmd.Env = append(os.Environ(), "TERM=xterm-256color", "LANG=C.UTF-8")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	t.Cleanup(func() { exec.Command(tmux, "-L", term.name, "kill-server").Run() })
	return term
}

// press types keys, by tmux's names.
func (x *terminal) press(keys ...string) {
	x.t.Helper()
	out, err := exec.Command(x.tmux, append([]string{"-L", x.name, "send-keys"}, keys...)...).CombinedOutput()
	if err != nil {
		x.t.Fatalf("%v: %s", err, out)
	}
}

// sees waits until the screen has every text, and returns it.
func (x *terminal) sees(texts ...string) string {
	x.t.Helper()
	var screen string
	for deadline := time.Now().Add(reftest.Patience); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		out, _ := exec.Command(x.tmux, "-L", x.name, "capture-pane", "-p").Output()
		screen = string(out)
		all := true
		for _, s := range texts {
			all = all && strings.Contains(screen, s)
		}
		if all {
			return screen
		}
	}
	x.t.Fatalf("the screen never had %q:\n%s", texts, screen)
	return ""
}

// TestRealTimeTerminal drives the real program in a real terminal as a shooter
// would: read the first screen, arm, start, hold, nudge, resume, tap, cut, quit.
func TestRealTimeTerminal(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program and runs it in real time")
	}
	x := openTerminal(t, 80, 24, "demo")
	x.sees("It is NO firing system", "any key goes on")
	x.press("x")
	x.sees("SAFE", "t go, n no-go from Radio check", "no sound device: silent clock", "Harbour Evening")
	for i := range 7 {
		x.press("t")
		x.sees(fmt.Sprintf("go %d of 7", i+1))
		time.Sleep(300 * time.Millisecond) // sooner, it would be the key that repeats
	}
	x.press("a")
	x.sees("ARMED", "enter starts")
	x.press("Enter")
	x.sees("RUNNING", "NO NUDGE")
	x.press("j")
	x.sees("taps: 1")
	x.press("Left", "Left", "Left")
	x.sees("EARLIER 0.3 s")
	x.press("Space")
	x.sees("HELD IS NOT SAFE TO ENTER", "resumes at", "nobody in the field")
	x.press("t")
	x.sees("✓ nobody in the field")
	x.press("Right")
	x.sees("EARLIER 0.2 s")
	x.press("t", "t", "t")
	x.sees("✓ every position")
	x.press("Enter")
	x.sees("RUNNING")
	x.press("Down", "d")
	x.sees("DOWN")
	x.press("b")
	x.press("q")
	x.sees("Quit the rehearsal?")
	x.press("n")
	x.press("BSpace")
	x.sees("SAFE", "cut before cue", "WAIT: nobody goes in for 14:")
	x.press("s")
	x.sees("SOUND CHECK")
	x.press("q")
	x.sees("SAFE", "ARM")
	x.press("q")
	x.sees("Quit the rehearsal?", "NOBODY GOES IN for 14:")
	x.press("y")
	x.sees("fired", "session log:")
}

// askedAgain is how long to wait before a key counts as asked a second time.
const askedAgain = 900 * time.Millisecond

// arms arms a show for which nobody has said go: that is asked for twice.
func (x *terminal) arms() {
	x.t.Helper()
	x.press("a")
	x.sees("a again arms")
	time.Sleep(askedAgain)
	x.press("a")
	x.sees("ARMED")
}

// TestRealTimeSuspendAndBack stops the program in the middle of a run, as ctrl z does,
// and brings it back: the show was held first, and the console goes on.
func TestRealTimeSuspendAndBack(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program and runs it in real time")
	}
	x := openTerminal(t, 81, 24, "demo") // in a shell with job control, which brings it back at once
	x.sees("any key goes on")
	x.press("x")
	x.sees("a ARM")
	x.arms()
	x.press("Enter")
	x.sees("RUNNING")
	x.press("C-z")
	x.sees("stopped by the terminal")
	x.press("-l", "fg")
	x.press("Enter")
	x.sees("HELD", "the terminal was suspended")
	x.press("t", "t", "t", "t")
	x.sees("✓ every position")
	x.press("Enter")
	x.sees("RUNNING")
	x.press("BSpace")
	x.sees("SAFE")
	x.press("q")
	x.sees("Quit the rehearsal?")
	x.press("y")
	x.sees("session log:")
}

// TestRealTimeTerminalOfEverySize: the console comes up at each size, and says so when
// the window is too small.
func TestRealTimeTerminalOfEverySize(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program")
	}
	for _, size := range [][2]int{{200, 60}, {50, 10}} {
		x := openTerminal(t, size[0], size[1], "demo")
		want := "It is NO firing system"
		if size[0] < 64 {
			want = "too small"
		}
		x.sees(want)
	}
}
