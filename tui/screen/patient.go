package screen

import (
	"bytes"
	"context"
	"io"
	"os"
	"sync"
	"time"
)

// patience is how long what is written waits to be taken once the program is to
// end.
const patience = 300 * time.Millisecond

// A patient writes to a terminal or a pipe, which takes nothing for as long as
// nobody reads at its other end. While the program goes on a write waits for that;
// once it is to end, no longer than patience: what has not been taken by then is
// lost, and the program can end.
type patient struct {
	f      *os.File
	giveUp <-chan struct{} // closed when patience is at its end
	turn   sync.Mutex      // one write at a time
	taken  chan written    // of a write that was given up; nil when there is none
}

// A written is what came of a write.
type written struct {
	n   int
	err error
}

// Patient returns what writes to f without keeping the program from ending once
// ctx has ended. A plain file is written as it is.
func Patient(ctx context.Context, f *os.File) io.Writer {
	if info, err := f.Stat(); err == nil && info.Mode().IsRegular() {
		return f
	}
	giveUp := make(chan struct{})
	context.AfterFunc(ctx, func() { time.AfterFunc(patience, func() { close(giveUp) }) })
	return &patient{f: f, giveUp: giveUp}
}

// Write implements io.Writer. What is lost counts as written.
func (w *patient) Write(p []byte) (int, error) {
	w.turn.Lock()
	defer w.turn.Unlock()
	if w.stuck() {
		return len(p), nil
	}
	taken := make(chan written, 1)
	go func(p []byte) {
		n, err := w.f.Write(p)
		taken <- written{n, err}
	}(bytes.Clone(p))
	select {
	case r := <-taken:
		return r.n, r.err
	case <-w.giveUp:
	}
	select {
	case r := <-taken:
		return r.n, r.err
	case <-time.After(patience / 10): // it may be a write that has only just begun
		w.taken = taken
		return len(p), nil
	}
}

// stuck reports whether a write that was given up has still not been taken.
func (w *patient) stuck() bool {
	if w.taken == nil {
		return false
	}
	select {
	case <-w.taken:
		w.taken = nil
	default:
	}
	return w.taken != nil
}

// Read, Close and Fd make it a terminal for what asks one for its size.
func (w *patient) Read(p []byte) (int, error) { return w.f.Read(p) }
func (w *patient) Close() error               { return w.f.Close() }
func (w *patient) Fd() uintptr                { return w.f.Fd() }
