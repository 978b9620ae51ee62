package screen

import (
	"context"
	"fmt"
	"io"
	"os"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/term"
)

// A Speaker is a screen as lines of text, for a screen reader. Its keys are taken as
// those of a Model are.
type Speaker interface {
	// Arrived is that of a Model.
	Arrived(in Input, at time.Time) tea.Msg
	// Hear takes what Arrived returned, and returns what there is to say to it.
	Hear(msg tea.Msg) (lines []string, cmd tea.Cmd)
	// Look returns what has happened by now and has not been said.
	Look() (lines []string, cmd tea.Cmd)
}

// Speak writes the lines of s to out, each with lineEnd behind it, until it is quit or
// ctx ends. Keys come one by one from the terminal in. No escape sequence is written,
// nor anything else that is not text.
func Speak(ctx context.Context, s Speaker, in *os.File, out io.Writer, lineEnd string) error {
	old, err := term.MakeRaw(in.Fd())
	if err != nil {
		return fmt.Errorf("the terminal cannot be read key by key: %w", err)
	}
	restore := func() { term.Restore(in.Fd(), old) }
	defer restore()
	keys := make(chan tea.Msg)
	go func() {
		defer func() {
			if e := recover(); e != nil {
				restore()
				panic(e)
			}
		}()
		pump(in, s.Arrived, func(msg tea.Msg) {
			select {
			case keys <- msg:
			case <-ctx.Done():
			}
		})
	}()
	return speak(ctx, s, keys, func(lines []string) error {
		for _, line := range lines {
			if _, err := io.WriteString(out, line+lineEnd); err != nil {
				return err
			}
		}
		return nil
	}, func() {
		restore()
		suspend()
		term.MakeRaw(in.Fd())
	})
}

// speak hands what there is to say to say, until s is quit, ctx ends or nothing more
// can be said.
func speak(ctx context.Context, s Speaker, keys <-chan tea.Msg, say func([]string) error, sleep func()) error {
	look := time.NewTicker(frameEvery)
	defer look.Stop()
	lines, cmd := s.Look()
	for {
		if err := say(lines); err != nil {
			return err
		}
		if cmd != nil {
			switch cmd().(type) {
			case tea.QuitMsg:
				return nil
			case tea.SuspendMsg:
				sleep()
			}
		}
		select {
		case <-ctx.Done():
			return nil
		case msg := <-keys:
			lines, cmd = s.Hear(msg)
		case <-look.C:
			lines, cmd = s.Look()
		}
	}
}
