// Package calibrate is the screen on which a person finds out how early or late
// they tap.
package calibrate

import (
	"context"
	"fmt"
	"strings"
	"sync/atomic"
	"time"

	"drylane/show/drift"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
)

// Setup is what a calibration screen is made from.
type Setup struct {
	// Run plays the clicks and takes taps, each stamped with the moment its key
	// went down, until there are Wanted of them. It tells how many it has, and
	// returns what they say, a line each, and how the person taps.
	Run    func(ctx context.Context, taps <-chan time.Time, progress func(taps int)) (lines []string, habit drift.Config, err error)
	Wanted int
	Theme  *screen.Theme
	ASCII  bool
	// Leave is sent when the screen is left.
	Leave func(habit *drift.Config) tea.Msg
}

// A Screen is the screen on which a person finds out how they tap. It
// stands in the console's place while the show is safe.
type Screen struct {
	Setup
	ctx    context.Context
	cancel context.CancelFunc
	taps   chan time.Time
	count  atomic.Int64
	lines  []string
	habit  *drift.Config // once the taps have been judged
	over   bool
	width  int
	height int
	canvas screen.Canvas
	ticks  screen.Ticker
}

// New returns the screen; Init starts the clicks.
func New(s Setup) *Screen {
	ctx, cancel := context.WithCancel(context.Background())
	return &Screen{Setup: s, ctx: ctx, cancel: cancel, taps: make(chan time.Time, 64)}
}

type judgedMsg struct {
	lines []string
	habit drift.Config
	err   error
}

// Init implements tea.Model.
func (m *Screen) Init() tea.Cmd {
	run := func() tea.Msg {
		lines, habit, err := m.Run(m.ctx, m.taps, func(n int) { m.count.Store(int64(n)) })
		return judgedMsg{lines, habit, err}
	}
	return tea.Batch(run, m.ticks.Next())
}

// Arrived takes a tap as soon as its key arrives.
func (m *Screen) Arrived(in screen.Input, at time.Time) tea.Msg {
	switch in.Key {
	case "space", "j", "f":
		select {
		case m.taps <- at:
		default: // nobody taps that fast
		}
	}
	return screen.KeyMsg{Key: in.Key, At: at, Done: true}
}

// Update implements tea.Model.
func (m *Screen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.width, m.height = msg.Width, msg.Height
	case screen.TickMsg:
		if m.ticks.Owns(msg) && !m.over {
			return m, m.ticks.Next()
		}
	case judgedMsg:
		m.over, m.lines = true, msg.lines
		if msg.err != nil {
			m.lines = append(m.lines, msg.err.Error())
		} else {
			m.habit = &msg.habit
		}
	case screen.KeyMsg:
		switch msg.Key {
		case "q", "esc", "ctrl+c":
			m.cancel()
			return m, func() tea.Msg { return m.Leave(m.habit) }
		}
	}
	return m, nil
}

// View implements tea.Model.
func (m *Screen) View() string {
	c := &m.canvas
	c.ASCII = m.ASCII
	c.Reset(m.width, m.height)
	c.Fill(screen.Rect(0, 0, m.width, 1), ' ', screen.BarSafe)
	c.Text(1, 0, m.width-2, "○ CALIBRATION  how early or late you tap", screen.BarSafe)
	y := 2
	say := func(s string, style screen.Style) {
		for _, l := range screen.Wrap(s, max(10, min(76, m.width-4))) {
			c.Text(2, y, m.width-4, l, style)
			y++
		}
	}
	say("People tap ahead of a beat, each by a habit of their own. Measured once, it is taken off your taps, so that it is not mistaken for drift.", screen.Normal)
	y++
	if !m.over {
		n := int(m.count.Load())
		say("Tap on every click, as you hear it: space, j or f.", screen.Strong)
		y++
		width := max(1, min(48, m.width-16))
		done := width * n / max(1, m.Wanted)
		c.Text(2, y, width, strings.Repeat("▮", done), screen.Good)
		c.Text(2+done, y, width-done, strings.Repeat("▯", width-done), screen.Faint)
		c.Text(4+width, y, 12, fmt.Sprintf("%d of %d", n, m.Wanted), screen.Normal)
	}
	for _, l := range m.lines {
		say(l, screen.Normal)
	}
	c.Text(1, m.height-1, 2, "q", screen.KeyName)
	c.Text(3, m.height-1, 40, "back to the console", screen.KeyText)
	return c.Render(m.Theme)
}
