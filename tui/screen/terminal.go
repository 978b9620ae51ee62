package screen

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	_ "drylane/tui/internal/background" // before bubbletea

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/term"
)

// A Model is a model that takes its keys before bubbletea's loop does.
type Model interface {
	tea.Model
	// Arrived does what cannot wait and returns the message for Update. It
	// runs in the keys' goroutine.
	Arrived(in Input, at time.Time) tea.Msg
}

// Run shows a screen on a terminal until it is quit or ctx ends.
func Run(ctx context.Context, m Model, in *os.File, out io.Writer) error {
	old, err := term.MakeRaw(in.Fd())
	if err != nil {
		return fmt.Errorf("the terminal cannot be read key by key: %w", err)
	}
	defer func() { term.Restore(in.Fd(), old) }()
	// A suspended program gives the terminal's key mode back, and takes it
	// again when it goes on.
	modes := func(_ tea.Model, msg tea.Msg) tea.Msg {
		switch msg := msg.(type) {
		case tea.WindowSizeMsg:
			return drawnOn(msg)
		case tea.SuspendMsg:
			term.Restore(in.Fd(), old)
		case tea.ResumeMsg:
			term.MakeRaw(in.Fd())
		}
		return msg
	}
	// The keys are read by pump. What bubbletea gets is an input on which nothing
	// ever comes: without any at all it does not survive a suspend.
	none, end := io.Pipe()
	defer end.Close()
	p := tea.NewProgram(m, tea.WithInput(none), tea.WithOutput(out), tea.WithAltScreen(), tea.WithFilter(modes),
		tea.WithMouseCellMotion(), tea.WithFPS(30), tea.WithContext(ctx), tea.WithoutSignalHandler())
	go func() {
		defer func() {
			if e := recover(); e != nil {
				p.Kill()
				panic(e)
			}
		}()
		pump(in, m.Arrived, p.Send)
	}()
	_, err = p.Run()
	if w, ok := out.(*patient); ok {
		w.letGo(func() { term.Restore(in.Fd(), old) })
	}
	if errors.Is(err, tea.ErrProgramKilled) && ctx.Err() != nil {
		return nil
	}
	return err
}
