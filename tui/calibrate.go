package tui

import (
	"context"
	"fmt"
	"strings"
	"sync/atomic"
	"time"

	"drylane/show/drift"

	tea "github.com/charmbracelet/bubbletea"
)

// CalibrateSetup is what a calibration screen is made from.
type CalibrateSetup struct {
	// Run plays the clicks and takes taps, each stamped with the moment its key
	// went down, until there are Wanted of them. It tells how many it has, and
	// returns what they say, a line each, and how the person taps.
	Run    func(ctx context.Context, taps <-chan time.Time, progress func(taps int)) (lines []string, habit drift.Config, err error)
	Wanted int
	Theme  *Theme
	ASCII  bool
	// Leave is sent when the screen is left.
	Leave func(habit *drift.Config) tea.Msg
}

// A Calibration is the screen on which a person finds out how they tap. It
// stands in the console's place while the show is safe.
type Calibration struct {
	CalibrateSetup
	ctx    context.Context
	cancel context.CancelFunc
	taps   chan time.Time
	count  atomic.Int64
	lines  []string
	habit  *drift.Config // once the taps have been judged
	over   bool
	width  int
	height int
	canvas canvas
}

// NewCalibration returns the screen; Init starts the clicks.
func NewCalibration(s CalibrateSetup) *Calibration {
	ctx, cancel := context.WithCancel(context.Background())
	return &Calibration{CalibrateSetup: s, ctx: ctx, cancel: cancel, taps: make(chan time.Time, 64)}
}

type calibrated struct {
	lines []string
	habit drift.Config
	err   error
}

type calibrateTick struct{}

// Init implements tea.Model.
func (m *Calibration) Init() tea.Cmd {
	run := func() tea.Msg {
		lines, habit, err := m.Run(m.ctx, m.taps, func(n int) { m.count.Store(int64(n)) })
		return calibrated{lines, habit, err}
	}
	return tea.Batch(run, m.tick())
}

func (m *Calibration) tick() tea.Cmd {
	return tea.Tick(frameEvery, func(time.Time) tea.Msg { return calibrateTick{} })
}

// arrived takes a tap as soon as its key arrives.
func (m *Calibration) arrived(in input, at time.Time) tea.Msg {
	switch in.key {
	case "space", "j", "f":
		select {
		case m.taps <- at:
		default: // nobody taps that fast
		}
	}
	return KeyMsg{Key: in.key, At: at, Done: true}
}

// Update implements tea.Model.
func (m *Calibration) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.width, m.height = msg.Width, msg.Height
	case calibrateTick:
		if !m.over {
			return m, m.tick()
		}
	case calibrated:
		m.over, m.lines = true, msg.lines
		if msg.err != nil {
			m.lines = append(m.lines, msg.err.Error())
		} else {
			m.habit = &msg.habit
		}
	case KeyMsg:
		switch msg.Key {
		case "q", "esc", "ctrl+c":
			m.cancel()
			return m, func() tea.Msg { return m.Leave(m.habit) }
		}
	}
	return m, nil
}

// View implements tea.Model.
func (m *Calibration) View() string {
	c := &m.canvas
	c.ascii = m.ASCII
	c.reset(m.width, m.height)
	c.fill(rect{0, 0, m.width, 1}, ' ', BarSafe)
	c.text(1, 0, m.width-2, "○ CALIBRATION  how early or late you tap", BarSafe)
	y := 2
	say := func(s string, style Style) {
		for _, l := range wrap(s, max(10, min(76, m.width-4))) {
			c.text(2, y, m.width-4, l, style)
			y++
		}
	}
	say("People tap ahead of a beat, each by a habit of their own. Measured once, it is taken off your taps, so that it is not mistaken for drift.", Normal)
	y++
	if !m.over {
		n := int(m.count.Load())
		say("Tap on every click, as you hear it: space, j or f.", Strong)
		y++
		width := max(1, min(48, m.width-16))
		done := width * n / max(1, m.Wanted)
		c.text(2, y, width, strings.Repeat("▮", done), Good)
		c.text(2+done, y, width-done, strings.Repeat("▯", width-done), Faint)
		c.text(4+width, y, 12, fmt.Sprintf("%d of %d", n, m.Wanted), Normal)
	}
	for _, l := range m.lines {
		say(l, Normal)
	}
	c.text(1, m.height-1, 2, "q", KeyName)
	c.text(3, m.height-1, 40, "back to the console", KeyText)
	return c.render(m.Theme)
}
