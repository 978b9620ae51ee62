//go:build unix

package screen

import (
	"os"
	"os/signal"
	"time"

	"golang.org/x/sys/unix"
)

// suspend puts the program to sleep, as the terminal does for a program that leaves
// its keys to it, and returns once the user has it go on. Where no shell could do that
// nothing sleeps, and nothing says so: then it returns after a second.
func suspend() {
	again := make(chan os.Signal, 1)
	signal.Notify(again, unix.SIGCONT)
	defer signal.Stop(again)
	if unix.Kill(0, unix.SIGTSTP) != nil {
		return
	}
	select {
	case <-again:
	case <-time.After(time.Second):
	}
}
