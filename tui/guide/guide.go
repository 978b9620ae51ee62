// Package guide is the screen on which a person settles how the columns of a
// foreign cue list become ours.
package guide

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/exchange"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
)

// A Source is the file that is imported, and what is said of it in words.
type Source struct {
	Name  string // safe to print
	Table func(exchange.Profile) (*exchange.Table, error)
	Read  func(*exchange.Table) string    // how it was read, in a line
	Found func(*exchange.Result) string   // how many cues came of it, in a line
	Notes func(*exchange.Result) []string // what else is to be known of that
	Cells func(show.Cue) []string         // a cue's values, by our columns
	// Keep takes a name under which the settings are kept for the next time, and
	// says what is wrong with it. Nil: they are kept already, or not wanted.
	Keep func(name string) error
	Kept string // the name that is proposed
}

// rows is how many rows of the file are converted on each key.
const rows = 2000

// A Screen is the tea model of the guide: our columns on the left; on the right the
// file's, by number, or the settings; below them the first rows of the file, and
// beside each what it would become.
type Screen struct {
	screen.Look
	src  Source
	p    exchange.Profile
	side side
	line [2]int // marked on each side
	top  int    // the first of the rows that are shown

	guessed [exchange.ColumnCount]bool // nobody has looked at it yet
	number  int                        // digits typed for the marked line so far

	table *exchange.Table
	set   [exchange.ColumnCount][]int
	res   *exchange.Result
	err   error
	cut   bool // the file is longer than rows

	typing typing
	fill   screen.Field
	refuse string // why the name that was typed cannot be had
	done   bool
	canvas screen.Canvas
}

type side int

const (
	columns side = iota
	settings
)

// typing is what is being typed.
type typing int

const (
	nothing typing = iota
	aFill
	aName // under which the settings are kept
)

// settingKeys are the settings on the right, in their order.
var settingKeys = []string{"times", "notation", "rate", "decimal", "prefire_unit", "caliber_unit", "delimiter", "quotes", "header", "encoding"}

// New returns a guide that begins with what is settled in p, and proposes the rest.
func New(src Source, p exchange.Profile, look screen.Look) *Screen {
	m := &Screen{src: src, Look: look, fill: screen.Field{Most: 200}}
	m.p.Overlay(p)
	m.p.Format = p.Format
	for _, key := range settingKeys {
		*m.p.Setting(key) = *p.Setting(key)
	}
	m.p.Zero, m.p.BurnUnit = p.Zero, p.BurnUnit
	m.guess()
	m.read()
	return m
}

// Profile returns what has been settled; ok is false when the guide was left
// before its end.
func (m *Screen) Profile() (p exchange.Profile, ok bool) { return m.p, m.done }

// guess proposes columns for what is not settled.
func (m *Screen) guess() {
	t, err := m.src.Table(m.p)
	if err != nil {
		return // it is told when it is read
	}
	p, guessed := m.p.Guess(t)
	m.p = p
	for _, c := range guessed {
		m.guessed[c] = true
	}
}

// read takes the file anew, by what is settled so far.
func (m *Screen) read() {
	m.res, m.set = nil, [exchange.ColumnCount][]int{}
	if m.table, m.err = m.src.Table(m.p); m.err != nil {
		return
	}
	m.set, _ = m.p.Resolve(m.table)
	m.cut = len(m.table.Rows) > rows
	m.res, m.err = exchange.Convert(m.table.Head(rows), m.p)
}

// Init implements tea.Model.
func (m *Screen) Init() tea.Cmd { return nil }

// Arrived implements screen.Model: nothing here cannot wait.
func (m *Screen) Arrived(in screen.Input, at time.Time) tea.Msg { return in.Msg(at) }

// Update implements tea.Model.
func (m *Screen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.canvas.Resize(msg)
	case screen.GoneMsg:
		return m, tea.Quit
	case screen.PasteMsg:
		if m.typing != nothing {
			m.fill.Add(string(msg))
		}
	case screen.KeyMsg:
		if m.typing != nothing {
			return m, m.typeKey(msg.Key)
		}
		return m, m.key(msg.Key)
	}
	return m, nil
}

func (m *Screen) key(key string) tea.Cmd {
	if len(key) == 1 && '0' <= key[0] && key[0] <= '9' {
		m.digit(int(key[0] - '0'))
		return nil
	}
	m.number = 0
	switch key {
	case "up", "k":
		m.move(-1)
	case "down", "j":
		m.move(+1)
	case "tab", "shift+tab":
		m.side = settings - m.side
	case "left", "h":
		m.change(-1)
	case "right", "l":
		m.change(+1)
	case "f":
		if m.side == columns {
			m.typing, m.fill.Text = aFill, m.p.Fill[m.column()]
		}
	case "enter":
		return m.finish()
	case "pgup":
		m.top = max(0, m.top-pageRows)
	case "pgdown":
		if m.table != nil {
			m.top = min(m.top+pageRows, max(0, len(m.table.Rows)-1))
		}
	case "q", "ctrl+c":
		return tea.Quit
	}
	return nil
}

// pageRows is how far the rows are turned on.
const pageRows = 5

// finish ends the guide when all is settled: it asks for a name to keep the settings
// under, if they are to be kept.
func (m *Screen) finish() tea.Cmd {
	if m.err != nil || len(m.res.Cues) == 0 {
		return nil
	}
	if m.src.Keep != nil {
		m.typing, m.fill.Text, m.refuse = aName, m.src.Kept, ""
		return nil
	}
	m.done = true
	return tea.Quit
}

// digit makes the marked column of ours from the file's column of that number; 0
// leaves it empty. A second digit goes on with the number while the file has so many
// columns.
func (m *Screen) digit(d int) {
	if m.side != columns || m.table == nil {
		return
	}
	if m.number = 10*m.number + d; m.number > m.table.Width {
		m.number = d
	}
	if m.number <= m.table.Width {
		m.choose(m.number - 1)
	}
}

// choose makes the marked column of ours from column i of the file; -1 leaves it
// empty. What was only guessed to be made from that column gives way.
func (m *Screen) choose(i int) {
	for c, set := range m.set {
		if m.guessed[c] && exchange.Column(c) != m.column() && slices.Contains(set, i) {
			m.guessed[c], m.p.Map[exchange.Column(c)] = false, []exchange.Ref{}
		}
	}
	m.guessed[m.column()] = false
	m.p.Map[m.column()] = m.table.Ref(i)
	m.read()
}

// move marks another line, round and round.
func (m *Screen) move(by int) {
	lines := [2]int{int(exchange.ColumnCount), len(settingKeys)}[m.side]
	m.line[m.side] = (m.line[m.side] + by + lines) % lines
}

// column is the marked one of our columns.
func (m *Screen) column() exchange.Column { return exchange.Column(m.line[columns]) }

// typeKey takes a key of what is being typed.
func (m *Screen) typeKey(key string) tea.Cmd {
	switch key {
	case "enter":
		if m.typing == aName {
			return m.keep()
		}
		m.typing = nothing
		m.p.Fill[m.column()] = strings.TrimSpace(m.fill.Text)
		if m.fill.Text == "" {
			delete(m.p.Fill, m.column())
		}
		m.read()
	case "esc":
		m.typing = nothing
	case "ctrl+c":
		return tea.Quit
	default:
		m.fill.Key(key)
	}
	return nil
}

// keep takes the name that was typed; without one nothing is kept. A name that
// cannot be had is told, and the guide goes on.
func (m *Screen) keep() tea.Cmd {
	if name := strings.TrimSpace(m.fill.Text); name != "" {
		if err := m.src.Keep(name); err != nil {
			m.refuse = err.Error()
			return nil
		}
	}
	m.typing, m.done = nothing, true
	return tea.Quit
}

// change turns the marked line to its next or previous value.
func (m *Screen) change(step int) {
	if m.side == settings {
		key := settingKeys[m.line[settings]]
		values := valuesOf(key)
		at := max(0, slices.Index(values, *m.p.Setting(key)))
		*m.p.Setting(key) = values[(at+step+len(values))%len(values)]
		m.read()
	} else if m.table != nil {
		at := -1
		if set := m.set[m.column()]; len(set) > 0 {
			at = set[0]
		}
		n := m.table.Width + 1
		m.choose((at+1+step+n)%n - 1)
	}
}

// valuesOf are the values that a key turns a setting through; the first is what
// it is when nobody says.
func valuesOf(key string) []string {
	switch key {
	case "delimiter":
		return []string{"", ",", ";", "tab", "|"}
	case "header":
		values := []string{"", "none"}
		for i := range 9 {
			values = append(values, strconv.Itoa(i+1))
		}
		return values
	case "rate":
		return append([]string{""}, exchange.Settings(key)...)
	}
	values := slices.Clone(exchange.Settings(key))
	values[0] = ""
	return values
}
