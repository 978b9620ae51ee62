// Package calibrate is the screen on which a person finds out how early or late
// they tap.
package calibrate

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"drylane/playback/calibration"
	"drylane/show/drift"
	"drylane/show/words"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
)

// Setup is what a calibration screen is made from.
type Setup struct {
	// Run plays the clicks and takes taps, each the moment at which its key went
	// down, until there are Wanted of them or ctx ends. progress is told how
	// many there are.
	Run    func(ctx context.Context, taps <-chan time.Time, progress func(taps int)) (calibration.Result, error)
	Wanted int
	Taps   []string // the keys that tap
	Output string   // on which the clicks come, safe to print; empty: not said
	screen.Look
	// Leave is what leaving the screen sends, with the person's habit if it has
	// been found. Nil: there is no way back, and the program ends, by itself
	// once the taps have been judged.
	Leave func(habit *drift.Config) tea.Msg
}

// A Screen is the tea model of a calibration.
type Screen struct {
	Setup
	ctx    context.Context
	cancel context.CancelFunc
	taps   chan time.Time
	last   time.Time // the latest tap; for the keys' goroutine alone
	count  atomic.Int64

	begun   bool           // the clicks have been asked for
	playing sync.WaitGroup // until result and err are there
	result  calibration.Result
	err     error

	over   bool
	canvas screen.Canvas
	ticks  screen.Ticker
}

// New returns the screen; a key starts the clicks. End must follow, or a way out of
// the screen: what Run was given to play on is Run's to close.
func New(s Setup) *Screen {
	ctx, cancel := context.WithCancel(context.Background())
	return &Screen{Setup: s, ctx: ctx, cancel: cancel, taps: make(chan time.Time, 64)}
}

// A judgedMsg says that the clicks are over and their result is there.
type judgedMsg struct{}

// Init implements tea.Model.
func (m *Screen) Init() tea.Cmd { return m.ticks.Next() }

// begin starts the clicks, once; what it returns waits for their end.
func (m *Screen) begin() tea.Cmd {
	if m.begun {
		return nil
	}
	m.begun = true
	m.playing.Go(func() {
		m.result, m.err = m.Run(m.ctx, m.taps, func(n int) { m.count.Store(int64(n)) })
	})
	return func() tea.Msg { m.playing.Wait(); return judgedMsg{} }
}

// stop ends the clicks, if they are not over: Run closes what it plays on, also
// when nobody began.
func (m *Screen) stop() {
	m.cancel()
	m.begin()
}

// End ends the clicks, if they are not over, and returns what Run did.
func (m *Screen) End() (calibration.Result, error) {
	m.stop()
	m.playing.Wait()
	return m.result, m.err
}

// Arrived takes a tap as soon as its key arrives. Keys that arrive together
// are one tap.
func (m *Screen) Arrived(in screen.Input, at time.Time) tea.Msg {
	if slices.Contains(m.Taps, in.Key) && at.Sub(m.last) >= time.Microsecond {
		m.last = at
		select {
		case m.taps <- at:
		default: // nobody taps that fast
		}
	}
	return in.Msg(at)
}

// Update implements tea.Model.
func (m *Screen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.canvas.Resize(msg)
	case screen.TickMsg:
		if m.ticks.Owns(msg) && !m.over {
			return m, m.ticks.Next()
		}
	case judgedMsg:
		if m.over = true; m.Leave == nil {
			return m, tea.Quit
		}
	case screen.GoneMsg:
		return m, m.leave()
	case screen.KeyMsg:
		switch msg.Key {
		case "enter":
			return m, m.begin()
		case "q", "esc", "ctrl+c":
			return m, m.leave()
		}
	}
	return m, nil
}

// leave leaves the screen; nothing is applied of taps that were not judged.
func (m *Screen) leave() tea.Cmd {
	m.stop()
	if m.Leave == nil {
		return tea.Quit
	}
	var habit *drift.Config
	if m.over && m.err == nil {
		habit = &m.result.Habit
	}
	return func() tea.Msg { return m.Leave(habit) }
}

// View implements tea.Model.
func (m *Screen) View() string {
	c := m.canvas.Begin(m.Look)
	c.Fill(screen.Rect(0, 0, c.W, 1), ' ', screen.BarSafe)
	c.Text(1, 0, c.W-2, "○ CALIBRATION  how early or late you tap", screen.BarSafe)
	p := c.Paragraph(screen.Rect(2, 2, c.W-4, c.H-3))
	p.Write("People tap ahead of a beat, each by a habit of their own. Measured once, it is taken off your taps, so that it is not taken for cues that are late.", screen.Normal)
	p.Skip()
	if !m.over {
		p.Write(m.task(), screen.Strong)
		if m.Output != "" {
			p.Write("The clicks come on "+m.Output+".", screen.Quiet)
		}
		p.Skip()
		m.drawProgress(c, p.Left.Y)
	}
	if m.over {
		m.writeResult(p)
	}
	back := "back to the console"
	if m.Leave == nil {
		back = "leave"
	}
	keys := []screen.Hint{{Key: "q", Label: back}}
	if !m.begun {
		keys = append([]screen.Hint{{Key: "enter", Label: "begin"}}, keys...)
	}
	c.KeyLine(screen.Rect(0, c.H-1, c.W, 1), keys)
	return c.Render(m.Theme)
}

// task says what is to be done. The keys are those that tap in a show, never one
// that holds it.
func (m *Screen) task() string {
	var keys []string
	for _, k := range m.Taps {
		keys = append(keys, screen.KeyLabel(k))
	}
	if m.begun {
		return "Tap on every click, as you hear it: " + words.Or(keys) + "."
	}
	return "Enter begins the clicks. Listen to a few of them, then tap on each as you hear it: " + words.Or(keys) + "."
}

// drawProgress draws how many of the taps have been heard.
func (m *Screen) drawProgress(c *screen.Canvas, y int) {
	n := int(m.count.Load())
	width := max(1, min(48, c.W-16))
	done := width * n / max(1, m.Wanted)
	c.Text(2, y, width, strings.Repeat("▮", done), screen.Good)
	c.Text(2+done, y, width-done, strings.Repeat("▯", width-done), screen.Faint)
	c.Text(4+width, y, 12, fmt.Sprintf("%d of %d", n, m.Wanted), screen.Normal)
}

// writeResult says what the taps told.
func (m *Screen) writeResult(p *screen.Paragraph) {
	for _, l := range m.result.Lines {
		p.Write(l, screen.Normal)
	}
	if m.err != nil {
		p.Write(m.err.Error(), screen.Normal)
	}
}
