package tui

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/term"
)

// escapeWait is how long an escape may be the beginning of a sequence.
const escapeWait = 40 * time.Millisecond

// A screen is a model that can take keys before bubbletea's loop does.
type screen interface {
	tea.Model
	clock() time.Time
	// arrived does what cannot wait and returns the message for Update. It
	// runs in the keys' goroutine.
	arrived(in input, at time.Time) tea.Msg
	// keepModes tells how to give the terminal's key mode back and to take it
	// again.
	keepModes(release, regain func())
}

func (m *Console) clock() time.Time { return m.Now() }

func (m *Console) keepModes(release, regain func()) { m.release, m.regain = release, regain }

// pump reads keys from r until it ends. What must not wait for the screen is
// done at once, stamped with the time at which it arrived; everything is then
// handed on to send, in order, by a goroutine of its own: send may block.
func pump(r io.Reader, m screen, send func(tea.Msg)) {
	type chunk struct {
		b  []byte
		at time.Time
	}
	chunks := make(chan chunk, 64)
	go func() {
		defer close(chunks)
		for {
			b := make([]byte, 256)
			n, err := r.Read(b)
			if n > 0 {
				chunks <- chunk{b[:n], m.clock()}
			}
			if err != nil {
				return
			}
		}
	}()
	out := make(chan tea.Msg, 1024)
	defer close(out)
	go func() {
		for msg := range out {
			send(msg)
		}
	}()
	var d decoder
	timer := time.NewTimer(time.Hour)
	for {
		var got []input
		at := m.clock()
		select {
		case c, ok := <-chunks:
			if !ok {
				return
			}
			at, got = c.at, d.feed(c.b)
			timer.Reset(escapeWait)
		case <-timer.C:
			got = d.flush()
		}
		for _, in := range got {
			msg := m.arrived(in, at)
			select {
			case out <- msg:
			default: // the screen is a thousand keys behind: it need not see this one
			}
		}
	}
}

// arrived does what cannot wait and returns the message for the screen. It
// runs in the keys' goroutine.
func (m *Console) arrived(in input, at time.Time) tea.Msg {
	switch {
	case in.mouse != nil:
		return *in.mouse
	case in.paste != "":
		return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(in.paste), Paste: true}
	}
	k := KeyMsg{Key: in.key, At: at}
	if b := m.Keys.Find(in.key); b != nil && b.Now && (!m.Typing() || b.Act == ActHold) {
		if do, ok := Command(b.Act); ok {
			m.Run.Do(do, at)
			k.Done = true
		}
	}
	return k
}

// RunTerminal shows a screen, such as the console, on a terminal until it is quit or ctx ends.
func RunTerminal(ctx context.Context, m screen, in *os.File, out io.Writer) error {
	old, err := term.MakeRaw(in.Fd())
	if err != nil {
		return fmt.Errorf("the terminal cannot be read key by key: %w", err)
	}
	defer func() { term.Restore(in.Fd(), old) }()
	m.keepModes(func() { term.Restore(in.Fd(), old) }, func() { term.MakeRaw(in.Fd()) })
	// The keys are read by pump. What bubbletea gets is an input on which nothing
	// ever comes: without any at all it does not survive a suspend.
	none, end := io.Pipe()
	defer end.Close()
	p := tea.NewProgram(m, tea.WithInput(none), tea.WithOutput(out), tea.WithAltScreen(),
		tea.WithMouseCellMotion(), tea.WithFPS(30), tea.WithContext(ctx), tea.WithoutSignalHandler())
	go func() {
		defer func() {
			if e := recover(); e != nil {
				p.Kill()
				panic(e)
			}
		}()
		pump(in, m, p.Send)
	}()
	_, err = p.Run()
	if errors.Is(err, tea.ErrProgramKilled) && ctx.Err() != nil {
		return nil
	}
	return err
}
