package tui

import (
	"time"

	"drylane/playback/desk"

	tea "github.com/charmbracelet/bubbletea"
)

// A CheckDesk is what the sound check shows and commands; desk.Desk is one.
type CheckDesk interface {
	Snapshot() *desk.Snapshot
	Do(desk.Command)
	Quit()
}

// CheckSetup is what a sound check is made from.
type CheckSetup struct {
	Title   string // of the show, safe to print
	Desk    CheckDesk
	Sources []desk.Source // those of the desk
	Theme   *Theme
	Themes  func(name string) *Theme // for the theme key; nil: it does nothing
	ASCII   bool
	Quiet   bool     // there is no sound device
	Warn    []string // what is worth saying about the show, safe to print
	Now     func() time.Time
	// Leave is what quitting does after the sound is off; nil quits the program.
	Leave tea.Cmd
}

// A SoundCheck is the tea model of a sound check. It starts nothing but the
// sound it is asked for: it has no transport and no cues.
type SoundCheck struct {
	CheckSetup
	keys    *Keymap
	mark    int // marked source
	first   int // first row of the list in sight
	help    bool
	helpTop int

	snap   *desk.Snapshot
	now    time.Time
	width  int
	height int
	lay    checkLayout
	canvas canvas
}

// NewSoundCheck returns the screen of a sound check.
func NewSoundCheck(s CheckSetup) *SoundCheck {
	if s.Now == nil {
		s.Now = time.Now
	}
	if s.Leave == nil {
		s.Leave = tea.Quit
	}
	m := &SoundCheck{CheckSetup: s, keys: newCheckKeymap()}
	m.look(s.Now())
	return m
}

// A checkTick is a look at the desk of one sound check.
type checkTick struct{ of *SoundCheck }

func (m *SoundCheck) tick() tea.Cmd {
	return tea.Tick(frameEvery, func(time.Time) tea.Msg { return checkTick{m} })
}

// Init implements tea.Model.
func (m *SoundCheck) Init() tea.Cmd { return m.tick() }

func (m *SoundCheck) look(now time.Time) { m.now, m.snap = now, m.Desk.Snapshot() }

// Update implements tea.Model.
func (m *SoundCheck) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.width, m.height = msg.Width, msg.Height
		m.lay = arrangeCheck(m.width, m.height)
	case checkTick:
		if msg.of != m { // of one that was left
			return m, nil
		}
		if m.look(m.Now()); m.snap.Done {
			return m, m.Leave
		}
		return m, m.tick()
	case KeyMsg:
		return m, m.key(msg)
	case tea.KeyMsg:
		return m, m.teaKey(msg)
	case MouseMsg:
		m.mouse(msg)
	}
	return m, nil
}

// View implements tea.Model.
func (m *SoundCheck) View() string {
	m.draw()
	return m.canvas.render(m.Theme)
}

func (m *SoundCheck) clock() time.Time { return m.Now() }

// keepModes does nothing: a sound check does not give the terminal away while
// it may be loud.
func (m *SoundCheck) keepModes(release, regain func()) {}

// arrived does what cannot wait: the stop key and the gains act although the
// screen may be stuck. It runs in the keys' goroutine.
func (m *SoundCheck) arrived(in input, at time.Time) tea.Msg {
	switch {
	case in.mouse != nil:
		return *in.mouse
	case in.paste != "":
		return nil
	}
	k := KeyMsg{Key: in.key, At: at}
	if b := m.keys.Find(in.key); b != nil && b.Now {
		if c, ok := CheckCommand(b.Act); ok {
			m.Desk.Do(c)
			k.Done = true
		}
	}
	return k
}

// teaKey takes a key that bubbletea read. A burst of keys may come as one.
func (m *SoundCheck) teaKey(msg tea.KeyMsg) tea.Cmd {
	if msg.Paste {
		return nil
	}
	if msg.Type != tea.KeyRunes {
		return m.key(KeyMsg{Key: msg.String()})
	}
	var cmd tea.Cmd
	for _, r := range msg.Runes {
		cmd = m.key(KeyMsg{Key: runeKey(r)})
	}
	return cmd
}

// key does what a key asks for.
func (m *SoundCheck) key(k KeyMsg) tea.Cmd {
	b := m.keys.Find(k.Key)
	if b != nil && b.Now {
		if c, ok := CheckCommand(b.Act); ok && !k.Done {
			m.Desk.Do(c)
		}
		return nil
	}
	if m.help {
		m.helpKey(k.Key)
		return nil
	}
	if b == nil {
		return nil
	}
	return m.act(b.Act)
}

// act does what depends on the screen.
func (m *SoundCheck) act(a Act) tea.Cmd {
	switch a {
	case CheckPlay:
		m.Desk.Do(desk.Command{Action: desk.Play, Source: m.mark})
	case CheckTop:
		m.Desk.Do(desk.Command{Action: desk.Top, Source: m.mark})
	case CheckUp, CheckPrev:
		m.mark = max(0, m.mark-1)
	case CheckDown, CheckNext:
		m.mark = min(m.mark+1, len(m.Sources)-1)
	case ActTheme:
		m.Theme = nextTheme(m.Theme, m.Themes)
	case ActHelp:
		m.help, m.helpTop = true, 0
	case ActQuit:
		m.Desk.Quit()
		return m.Leave
	}
	if a == CheckPrev || a == CheckNext {
		m.Desk.Do(desk.Command{Action: desk.Top, Source: m.mark})
	}
	return nil
}

func (m *SoundCheck) helpKey(key string) {
	if !scrolls(&m.helpTop, key) {
		m.help = false
	}
}

// mouse marks the line that was pressed, or the next one.
func (m *SoundCheck) mouse(e MouseMsg) {
	if m.help || m.lay.tooSmall {
		return
	}
	if e.Wheel != 0 {
		m.mark = max(0, min(m.mark+e.Wheel, len(m.Sources)-1))
		return
	}
	if i := m.first + e.Y - m.lay.list.y - 1; m.lay.list.contains(e.X, e.Y) && i >= m.first && i < len(m.Sources) {
		m.mark = i
	}
}
