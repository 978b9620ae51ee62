package tui

import (
	"sync/atomic"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/drift"
	"drylane/show/timebase"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/rivo/uniseg"
)

// A Runner is the run that the console shows and commands; deck.Deck is one.
type Runner interface {
	Snapshot() *deck.Snapshot
	Do(a show.ScriptAction, at time.Time)
	SetReports(gain [2]float64)
	Listen(source int) // 0 for the music, else 1 + the index of one of the show's tracks
	Quit()
}

// Setup is what a console is made from.
type Setup struct {
	Show   *show.Show
	Plan   *show.Plan
	Run    Runner
	Wave   Wave
	Keys   *Keymap
	Theme  *Theme
	Themes func(name string) *Theme // for the theme key; nil: it does nothing
	ASCII  bool
	Log    string // where the session is kept
	Lock   string // whether the show is as it was locked; empty when it was not
	First  bool   // show the first-run screen
	// FirstSeen, if not nil, is called when it has been left.
	FirstSeen func()
	// Brief is what the trainee is told first; nil when this is no drill.
	Brief *Briefing
	// Overview reports how much of the soundtrack has been looked through
	// (0 to 1) and how long the rest will take; nil when there is nothing to tell.
	Overview func() (done float64, left time.Duration)
	// StopOverview ends the reading; nil when it cannot be ended.
	StopOverview func()
	// Review returns what an earlier review of the music found; nil until it
	// is there, and for good when there is none.
	Review func() *Marks
	// Timecode returns the timecode of a frame and its rate; nil when the show
	// has none.
	Timecode func(timebase.Frame) string
	// Tapper says how the person at the keys taps.
	Tapper drift.Config
	Now    func() time.Time
}

// An Accent is a place in the music where something sets in.
type Accent struct {
	At     timebase.Frame
	Strong bool
}

// Marks are what a review of the music found: its accents, by time, and the
// cues that it doubts, in firing order.
type Marks struct {
	Accents []Accent
	Doubts  []int
}

// frameEvery is the time between two looks at the run.
const frameEvery = time.Second / 30

// A Console is the tea model of a rehearsal.
type Console struct {
	Setup
	sets  []*laneSet
	set   int // index into sets
	lane  int // marked lane
	first int // first lane in sight
	folds []bool
	match []bool

	zoom   int // index into zooms; len(zooms) is the whole show
	follow bool
	origin timebase.Frame // left edge when not following
	cursor int            // cue under the cursor, -1 for none
	panel  int
	report int // index into reportModes

	filter   string
	typing   bool
	overlay  overlay
	ticked   int
	helpTop  int
	typingUp atomic.Bool // typing, for the keys' goroutine

	snap   *deck.Snapshot
	now    time.Time
	width  int
	height int
	lay    layout
	canvas canvas
	raster raster
	rows   []int16 // row of each lane, -1 out of sight
	up     []show.Up
	marks  Marks
	drift  driftView
	dry    int       // underruns, as last looked at
	dryAt  time.Time // ... and when there was one more
	gen    int       // of the ticks

	idWidth, posWidth int // of the cues' names in lists

	release, regain func() // give the terminal's key mode back, and take it again
}

type overlay uint8

const (
	noOverlay overlay = iota
	helpOverlay
	quitOverlay
	firstOverlay
	briefOverlay
)

// zooms are the widths of the lane view.
var zooms = []time.Duration{5 * time.Second, 10 * time.Second, 20 * time.Second, 40 * time.Second, 80 * time.Second, 160 * time.Second, 320 * time.Second}

// reportModes are the places of the cues' reports in the sound.
var reportModes = []struct {
	name string
	gain [2]float64
}{
	{"both ears", [2]float64{1, 1}}, {"left ear", [2]float64{1, 0}}, {"right ear", [2]float64{0, 1}}, {"off", [2]float64{}},
}

// NewConsole returns the console of a run.
func NewConsole(s Setup) *Console {
	if s.Now == nil {
		s.Now = time.Now
	}
	m := &Console{Setup: s, zoom: 2, follow: true, cursor: -1, panel: 1}
	m.sets = laneSets(s.Plan, s.Show.Cues, s.Show.Positions)
	for i, set := range m.sets {
		if set.by == s.Show.Console.Lanes {
			m.set = i
		}
	}
	m.folds = make([]bool, len(m.lanes().names))
	for _, c := range s.Show.Cues {
		m.idWidth = max(m.idWidth, min(8, uniseg.StringWidth(c.ID)))
		m.posWidth = max(m.posWidth, min(12, uniseg.StringWidth(c.Position)))
	}
	switch {
	case s.First:
		m.overlay = firstOverlay
	case s.Brief != nil:
		m.overlay = briefOverlay
	}
	m.look(s.Now())
	return m
}

func (m *Console) lanes() *laneSet { return m.sets[m.set] }

// A tickMsg is a look at the run; gen tells old ticks from new.
type tickMsg struct {
	at  time.Time
	gen int
}

func (m *Console) tick() tea.Cmd {
	gen := m.gen
	return tea.Tick(frameEvery, func(t time.Time) tea.Msg { return tickMsg{t, gen} })
}

// Init implements tea.Model.
func (m *Console) Init() tea.Cmd { return m.tick() }

// look takes a new snapshot of the run.
func (m *Console) look(now time.Time) {
	m.now = now
	was := show.Safe
	if m.snap != nil {
		was = m.snap.Transport.State()
	}
	m.snap = m.Run.Snapshot()
	if m.snap.Transport.State() == show.Held && was != show.Held {
		m.ticked = 0 // every hold has its own checklist
	}
	if m.Review != nil {
		if marks := m.Review(); marks != nil {
			m.marks, m.Review = *marks, nil
		}
	}
	if m.snap.Underruns > m.dry {
		m.dryAt = now
	}
	m.dry = m.snap.Underruns
	m.drift.update(m)
}

// Update implements tea.Model.
func (m *Console) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.width, m.height = msg.Width, msg.Height
		m.arrange()
	case tickMsg:
		if msg.gen != m.gen {
			return m, nil
		}
		m.look(m.Now())
		if m.overlay != noOverlay || m.typing {
			m.keepHold()
		}
		if m.snap.Done {
			return m, tea.Quit
		}
		return m, m.tick()
	case KeyMsg:
		return m, m.key(msg)
	case tea.KeyMsg:
		return m, m.teaKey(msg)
	case MouseMsg:
		m.mouse(msg)
	case tea.ResumeMsg:
		if m.regain != nil {
			m.regain()
		}
		m.gen++
		return m, m.tick()
	}
	return m, nil
}

// View implements tea.Model.
func (m *Console) View() string {
	m.draw()
	return m.canvas.render(m.Theme)
}

func (m *Console) arrange() { m.lay = arrange(m.width, m.height, len(m.lanes().names)-m.folded()) }

// Typing reports whether keys are text now. Safe to call from any goroutine.
func (m *Console) Typing() bool { return m.typingUp.Load() }

func (m *Console) setTyping(on bool) {
	m.typing = on
	m.typingUp.Store(on)
}

// heard is the frame that is drawn at the now-line.
func (m *Console) heard() timebase.Frame { return m.snap.HeardAt(m.now) }

// window is the stretch of show in sight.
func (m *Console) window() window {
	cols := max(1, m.lay.tracks.w)
	if m.zoom == len(zooms) {
		w := windowAt(0, m.Plan.Length+m.Plan.MaxLife, cols, 0)
		w.step++ // rounding must not leave the end out
		return w
	}
	span := timebase.FrameAt(zooms[m.zoom], m.Plan.Rate)
	if m.follow {
		return windowAt(m.heard(), span, cols, cols/2)
	}
	return windowAt(m.origin, span, cols, 0)
}
