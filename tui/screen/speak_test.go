package screen

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// A parrot is a screen as lines that says each key, and begins with a greeting.
type parrot struct{ looks int }

func (p *parrot) Arrived(in Input, at time.Time) tea.Msg { return in.Msg(at) }

func (p *parrot) Hear(msg tea.Msg) (lines []string, cmd tea.Cmd) {
	key, ok := msg.(KeyMsg)
	if !ok {
		return nil, nil
	}
	switch key.Key {
	case "q":
		cmd = tea.Quit
	case "ctrl+z":
		cmd = tea.Suspend
	}
	return []string{key.Key}, cmd
}

func (p *parrot) Look() (lines []string, cmd tea.Cmd) {
	if p.looks++; p.looks == 1 {
		lines = []string{"hello"}
	}
	return lines, nil
}

// TestSpeak: what there is to say is said in its order, a key that puts the program to
// sleep does, and what is said to the last key is said before the end.
func TestSpeak(t *testing.T) {
	t.Parallel()
	keys := make(chan tea.Msg)
	go pump(strings.NewReader("ab\x1aq"), new(parrot).Arrived, func(msg tea.Msg) {
		if _, gone := msg.(GoneMsg); !gone {
			keys <- msg
		}
	})
	var said []string
	slept := 0
	err := speak(t.Context(), new(parrot), keys, func(lines []string) error {
		said = append(said, lines...)
		return nil
	}, func() { slept++ })
	if want := []string{"hello", "a", "b", "ctrl+z", "q"}; err != nil || !slices.Equal(said, want) || slept != 1 {
		t.Errorf("said %q, slept %d times, %v; want %q, once", said, slept, err, want)
	}
}

// TestSpeakEnds with what it is run for, and where nobody takes a line any more.
func TestSpeakEnds(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := speak(ctx, new(parrot), nil, func([]string) error { return nil }, nil); err != nil {
		t.Errorf("the run was over: %v", err)
	}
	broken := errors.New("broken pipe")
	if err := speak(t.Context(), new(parrot), nil, func([]string) error { return broken }, nil); err != broken {
		t.Errorf("a broken pipe: %v", err)
	}
}
