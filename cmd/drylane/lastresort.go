package main

import (
	"context"
	"fmt"
	"io"
	"time"
)

// patience is how long a command may take to end after a signal has asked it to:
// long enough to bring a log to a slow disk.
const patience = 5 * time.Second

// endWithin ends the program with exitWrong when a command has not ended that long
// after ctx: it is in a call that no context reaches, such as the opening of a pipe
// that nobody writes into. The command calls over when it ends.
func endWithin(ctx context.Context, patience time.Duration, errOut io.Writer, exit func(code int)) (over func()) {
	ended, end := context.WithCancel(context.Background())
	context.AfterFunc(ctx, func() {
		select {
		case <-ended.Done():
			return
		case <-time.After(patience):
		}
		time.AfterFunc(time.Second, func() { exit(exitWrong) }) // should nobody read what follows either
		fmt.Fprintln(errOut, "ended by a signal while waiting for a file, a pipe or a device that does not answer")
		exit(exitWrong)
	})
	return end
}
