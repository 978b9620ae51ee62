// Package console is the shooter's screen: a run drawn against the music, and
// the keys that command it.
package console

import (
	"sync"
	"time"

	"drylane/playback/accents"
	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/callplan"
	"drylane/show/drift"
	"drylane/show/field"
	"drylane/show/timebase"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
)

// A Runner is the run that the console shows and commands; deck.Deck is one.
type Runner interface {
	Snapshot() *deck.Snapshot
	Do(a show.ScriptAction, at time.Time)
	SetBangs(gain [2]float64)
	Listen(source int) // 0 for the music, else 1 + the index of one of the show's tracks
	Quit()
}

// Setup is what a console is made from.
type Setup struct {
	Show *show.Show
	Plan *show.Plan
	Run  Runner
	Wave Wave
	Keys *screen.Keymap
	screen.Look
	Lock  func() string // whether the show is as it was locked, as far as is known by now; nil when nobody looks
	First bool          // show the first-run screen
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
	Review func() *accents.Marks
	// Changes returns the moments at which the music changes, for places to start
	// again from; known is false while they are worked out. Safe to call from any goroutine, and waits for nothing. Nil: nobody listens.
	Changes func() (at []time.Duration, known bool)
	// Timecode returns the timecode of a frame and its rate; nil when the show
	// has none.
	Timecode func(timebase.Frame) string
	// LogMoved says where the session goes on once its log has vanished, and is empty
	// before; nil where no log is kept.
	LogMoved func() string
	// Uncalibrated is who taps if their habit is not known; empty: it is, or nobody
	// was named.
	Uncalibrated string
	// Tapper says how the person at the keys taps.
	Tapper drift.Config
	// Day leads through a whole day: the message line says what comes next. What takes
	// minutes in the field takes seconds then.
	Day bool
	// Crew is who may be sent into the field; empty: as the show has it.
	Crew []string
	Now  func() time.Time
	// Others take part from machines of their own; nil: nobody does.
	Others Crew
	// Aside puts another screen in the console's place while the show is safe:
	// the sound check or the calibration. Nil: there is none to be had.
	Aside func(screen.Act) (tea.Cmd, error)
}

// A Screen is the tea model of a rehearsal.
type Screen struct {
	Setup
	mu   sync.Mutex
	keys hand // what the keys have come to; under mu
	hand      // the same as it was when the screen last looked

	sets  []*laneSet
	first int // first lane in sight
	match []bool

	zoom   int // index into zooms; len(zooms) is the whole show
	follow bool
	origin timebase.Frame // left edge when not following
	cursor int            // cue under the cursor, -1 for none
	panel  int
	front  bool // a hold or a cut has brought its panel before the chosen one
	bangs  int  // index into bangModes

	filter  screen.Field // of the cues in sight
	trouble string       // why the screen that was asked for did not open
	helpTop int

	snap    *deck.Snapshot
	now     time.Time
	lay     layout
	canvas  screen.Canvas
	raster  raster
	rows    []int16 // row of each lane, -1 out of sight
	up      []show.Up
	unknown int // effects that nobody knows the burn time of
	marks   accents.Marks
	drift   driftView
	field   fieldView
	places  placesView
	closing closingView
	day     dayView
	dry     int       // underruns, as last looked at
	dryAt   time.Time // ... and when there was one more
	moved   string    // where the session log had to go on; empty while it is where it was
	gone    time.Time // ... and since when
	ticks   screen.Ticker
	calls   *callplan.Watch

	idWidth, posWidth int    // of the cues' names in lists
	tooClose          string // where people stand nearer than the rule of thumb says
	inLines           bool   // it is told as lines, and never drawn
}

// zooms are the widths of the lane view.
var zooms = []time.Duration{5 * time.Second, 10 * time.Second, 20 * time.Second, 40 * time.Second, 80 * time.Second, 160 * time.Second, 320 * time.Second}

// bangModes are the places of the cues' bangs in the sound.
var bangModes = []struct {
	name string
	gain [2]float64
}{
	{"both ears", [2]float64{1, 1}}, {"left ear", [2]float64{1, 0}}, {"right ear", [2]float64{0, 1}}, {"off", [2]float64{}},
}

// New returns the console of a run.
func New(s Setup) *Screen {
	if s.Now == nil {
		s.Now = time.Now
	}
	m := &Screen{Setup: s, zoom: 2, follow: true, cursor: -1, panel: 1, filter: screen.Field{Most: 40}}
	if s.Others != nil {
		m.panel = panelCrew
	}
	if m.ASCII {
		m.Names = screen.NamesOf(s.Show)
	}
	m.tooClose = field.TooClose(s.Show)
	m.calls = callplan.NewWatch(s.Show, s.Plan)
	m.sets = laneSets(s.Plan, s.Show.Cues, s.Show.Positions)
	for i, set := range m.sets {
		if set.by == s.Show.Console.Lanes {
			m.keys.set = i
		}
	}
	m.keys.folds = make([]bool, len(m.sets[m.keys.set].names))
	for _, c := range s.Show.Cues {
		m.idWidth = max(m.idWidth, min(8, m.Width(c.ID)))
		m.posWidth = max(m.posWidth, min(12, m.Width(c.Position)))
	}
	switch {
	case s.First:
		m.keys.mode = firstMode
	case s.Brief != nil:
		m.keys.mode = briefMode
	}
	m.keys.said = -1
	m.places.begin()
	m.closing.positions = len(m.byPosition().names)
	m.keys.onBoard, m.keys.onReady = s.Run.Snapshot().Field != nil, s.Run.Snapshot().Ready != nil
	m.hand = m.keys
	m.look(s.Now())
	return m
}

func (m *Screen) lanes() *laneSet { return m.sets[m.set] }

// byPosition are the lanes by position, whichever are shown.
func (m *Screen) byPosition() *laneSet { return m.sets[0] }

// Init implements tea.Model.
func (m *Screen) Init() tea.Cmd { return m.ticks.Next() }

// look takes a new snapshot of the run.
func (m *Screen) look(now time.Time) {
	m.now = now
	was := m.snap
	m.snap = m.Run.Snapshot()
	m.bringToFront(was)
	if m.Review != nil {
		if marks := m.Review(); marks != nil {
			m.marks, m.Review = *marks, nil
		}
	}
	if m.snap.Underruns > m.dry {
		m.dryAt = now
	}
	m.dry = m.snap.Underruns
	if m.LogMoved != nil {
		if to := m.LogMoved(); to != m.moved {
			m.moved, m.gone = to, now
		}
	}
	m.drift.update(m)
	m.followField()
	m.followPlaces()
	m.followEnd()
	m.day.look(m.snap)
	m.followReady()
}

// Update implements tea.Model.
func (m *Screen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	m.catchUp()
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.canvas.Resize(msg)
		m.arrange()
	case screen.TickMsg:
		if !m.ticks.Owns(msg) {
			return m, nil
		}
		m.look(m.Now())
		if m.snap.Done {
			return m, tea.Quit
		}
		return m, m.ticks.Next()
	case pressed:
		return m, m.after(msg)
	case pasted:
		m.filter.Add(string(msg))
		m.applyFilter()
	case screen.MouseMsg:
		m.mouse(msg)
	case tea.ResumeMsg:
		return m, m.ticks.Restart()
	}
	return m, nil
}

func (m *Screen) arrange() {
	n := len(m.lanes().names) - m.folded()
	if m.field.laid > 0 {
		n = m.field.laid
	}
	m.lay = arrange(m.canvas.W, m.canvas.H, n)
}

// heard is the frame that is drawn at the now-line.
func (m *Screen) heard() timebase.Frame { return m.snap.HeardAt(m.now) }

// window is the stretch of show in sight.
func (m *Screen) window() window {
	cols := max(1, m.lay.tracks.W)
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
