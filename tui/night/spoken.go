package night

import (
	"fmt"
	"strings"
	"sync/atomic"
	"time"

	"drylane/show/words"
	"drylane/tui/console"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
)

// A Spoken is the list of a night's shows as lines, for a screen reader. The keys are
// those of the picture, and a show that is opened is told by its own console.
type Spoken struct {
	*Screen
	run     atomic.Pointer[spokenRun]
	greeted bool
	begins  bool // the marked show is to be opened
}

// A spokenRun is the show that is open.
type spokenRun struct {
	*console.Spoken
	show int
}

// NewSpoken returns the list of a night's shows as lines, none of them open.
func NewSpoken(s Setup) *Spoken { return &Spoken{Screen: New(s)} }

// Arrived implements screen.Speaker.
func (p *Spoken) Arrived(in screen.Input, at time.Time) tea.Msg {
	if r := p.run.Load(); r != nil {
		return r.Arrived(in, at)
	}
	return in.Msg(at)
}

// Hear implements screen.Speaker.
func (p *Spoken) Hear(msg tea.Msg) (lines []string, cmd tea.Cmd) {
	if r := p.run.Load(); r != nil {
		lines, cmd = r.Hear(msg)
		return p.told(r, lines, cmd)
	}
	if key, ok := msg.(screen.KeyMsg); ok {
		lines, cmd = p.pressed(key.Key)
	}
	return p.said(lines), cmd
}

// Look implements screen.Speaker.
func (p *Spoken) Look() (lines []string, cmd tea.Cmd) {
	if r := p.run.Load(); r != nil {
		lines, cmd = r.Look()
		return p.told(r, lines, cmd)
	}
	switch {
	case !p.greeted:
		p.greeted = true
		lines = p.opening()
	case p.begins:
		p.begins = false
		lines = p.enter()
	}
	return p.said(lines), nil
}

// said is how lines are written.
func (p *Spoken) said(lines []string) []string {
	for i, line := range lines {
		lines[i] = p.Shown(line)
	}
	return lines
}

// told hands on what the open show's console says; its quitting leads back to the list.
func (p *Spoken) told(r *spokenRun, lines []string, cmd tea.Cmd) ([]string, tea.Cmd) {
	p.watch(r.Screen, r.show)
	if cmd == nil {
		return lines, nil
	}
	msg := cmd()
	if _, quits := msg.(tea.QuitMsg); !quits {
		return lines, func() tea.Msg { return msg }
	}
	p.run.Store(nil)
	p.markNext(r.show)
	if err := p.Close(); err != nil {
		lines = append(lines, p.Shown(err.Error()))
	}
	return append(lines, p.Shown("Back to the list. "+p.line())), nil
}

// opening is what is to be known before the first show.
func (p *Spoken) opening() []string {
	lines := []string{fmt.Sprintf("THE NIGHT. %s. Nothing is armed.", words.Count(len(p.Shows), "show"))}
	for _, f := range p.Between {
		lines = append(lines, f.String())
	}
	return append(lines, p.line(), helpLine)
}

const helpLine = "enter opens the show, up and down mark another, q quits."

// line tells of the marked show.
func (p *Spoken) line() string {
	s := p.Shows[p.list.Mark]
	head := fmt.Sprintf("Show %d of %d: %s", p.list.Mark+1, len(p.Shows), s.Title)
	if s.Problem != "" {
		return head + ". It does not open: " + s.Problem
	}
	state, _ := p.ran[p.list.Mark].words()
	parts := []string{head, screen.ClockText(s.Length), words.Count(s.Cues, "cue"), state}
	if _, lock := s.LockNow(); lock != "" {
		parts = append(parts, lock)
	}
	return strings.Join(parts, ", ")
}

// pressed does what a key asks for on the list.
func (p *Spoken) pressed(key string) ([]string, tea.Cmd) {
	switch key {
	case "up", "down":
		p.key(key)
		return []string{p.line()}, nil
	case "q", "ctrl+c", "ctrl+z":
		return nil, p.key(key)
	case "enter":
		p.begins = true
		return []string{"Opening " + p.Shows[p.list.Mark].Title}, nil
	}
	return append(p.opening()[:1], p.line(), helpLine), nil
}

// enter opens the marked show.
func (p *Spoken) enter() []string {
	i := p.list.Mark
	run, err := p.Open(i)
	if err != nil {
		p.Shows[i].Problem = err.Error()
		return []string{p.line()}
	}
	p.Shows[i], p.Between = run.Show, run.Between
	run.Spoken.Keys.Describe(screen.ActQuit, backToList)
	p.run.Store(&spokenRun{run.Spoken, i})
	return nil
}
