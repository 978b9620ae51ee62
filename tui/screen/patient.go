package screen

import (
	"bytes"
	"context"
	"io"
	"os"
	"sync"
	"time"

	"github.com/charmbracelet/x/ansi"
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
	return w.write(p)
}

func (w *patient) write(p []byte) (int, error) {
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

// leaving gives a terminal back as it was: no pasting marks, no mouse, the cursor,
// and what stood there before.
const leaving = ansi.ResetModeBracketedPaste + ansi.ResetModeMouseButtonEvent + ansi.ResetModeMouseAnyEvent + ansi.ResetModeMouseExtSgr +
	ansi.ShowCursor + ansi.ResetModeAltScreenSaveCursor

// letGo leaves a screen whose last picture was never taken: that is thrown away, so
// that there is room for what gives the terminal back, whenever it reads again.
// restore gives back the terminal's modes, which wakes a write that waits for room.
func (w *patient) letGo(restore func()) {
	w.turn.Lock()
	defer w.turn.Unlock()
	if !w.stuck() {
		return
	}
	for deadline := time.Now().Add(patience); w.stuck() && time.Now().Before(deadline); time.Sleep(time.Millisecond) {
		discard(w.f.Fd())
		restore()
	}
	if !w.stuck() {
		discard(w.f.Fd())
		w.write([]byte(leaving))
	}
}

// Read, Close and Fd make it a terminal for what asks one for its size.
func (w *patient) Read(p []byte) (int, error) { return w.f.Read(p) }
func (w *patient) Close() error               { return w.f.Close() }
func (w *patient) Fd() uintptr                { return w.f.Fd() }
