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
}

// rows is how many rows of the file are converted on each key.
const rows = 2000

// A Screen is the tea model of the guide: our columns on the left, the settings
// on the right, and below them the first rows as they would become.
type Screen struct {
	screen.Look
	src  Source
	p    exchange.Profile
	side side
	line [2]int // marked on each side

	table *exchange.Table
	set   [exchange.ColumnCount][]int
	res   *exchange.Result
	err   error
	cut   bool // the file is longer than rows

	typing bool // a fill
	fill   screen.Field
	done   bool
	canvas screen.Canvas
}

type side int

const (
	columns side = iota
	settings
)

// settingKeys are the settings on the right, in their order.
var settingKeys = []string{"times", "notation", "rate", "decimal", "prefire_unit", "caliber_unit", "delimiter", "quotes", "header", "encoding"}

// New returns a guide that begins with what is settled in p.
func New(src Source, p exchange.Profile, look screen.Look) *Screen {
	m := &Screen{src: src, Look: look, fill: screen.Field{Most: 200}}
	m.p.Overlay(p)
	m.p.Format = p.Format
	for _, key := range settingKeys {
		*m.p.Setting(key) = *p.Setting(key)
	}
	m.p.Zero, m.p.BurnUnit = p.Zero, p.BurnUnit
	m.read()
	return m
}

// Profile returns what has been settled; ok is false when the guide was left
// before its end.
func (m *Screen) Profile() (p exchange.Profile, ok bool) { return m.p, m.done }

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
		if m.typing {
			m.fill.Add(string(msg))
		}
	case screen.KeyMsg:
		if m.typing {
			return m, m.typeKey(msg.Key)
		}
		return m, m.key(msg.Key)
	}
	return m, nil
}

func (m *Screen) key(key string) tea.Cmd {
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
			m.typing, m.fill.Text = true, m.p.Fill[m.column()]
		}
	case "enter":
		if m.err == nil && len(m.res.Cues) > 0 {
			m.done = true
			return tea.Quit
		}
	case "q", "ctrl+c":
		return tea.Quit
	}
	return nil
}

// move marks another line, round and round.
func (m *Screen) move(by int) {
	lines := [2]int{int(exchange.ColumnCount), len(settingKeys)}[m.side]
	m.line[m.side] = (m.line[m.side] + by + lines) % lines
}

// column is the marked one of our columns.
func (m *Screen) column() exchange.Column { return exchange.Column(m.line[columns]) }

// typeKey takes a key of a fill that is being typed.
func (m *Screen) typeKey(key string) tea.Cmd {
	switch key {
	case "enter":
		m.typing = false
		m.p.Fill[m.column()] = strings.TrimSpace(m.fill.Text)
		if m.fill.Text == "" {
			delete(m.p.Fill, m.column())
		}
		m.read()
	case "esc":
		m.typing = false
	case "ctrl+c":
		return tea.Quit
	default:
		m.fill.Key(key)
	}
	return nil
}

// change turns the marked line to its next or previous value.
func (m *Screen) change(step int) {
	if m.side == settings {
		key := settingKeys[m.line[settings]]
		values := valuesOf(key)
		at := max(0, slices.Index(values, *m.p.Setting(key)))
		*m.p.Setting(key) = values[(at+step+len(values))%len(values)]
	} else if m.table != nil {
		at := -1
		if set := m.set[m.column()]; len(set) > 0 {
			at = set[0]
		}
		n := m.table.Width + 1
		m.p.Map[m.column()] = m.ref((at+1+step+n)%n - 1)
	}
	m.read()
}

// ref names column i of the file: by its name if no other has it.
func (m *Screen) ref(i int) []exchange.Ref {
	if i < 0 {
		return []exchange.Ref{}
	}
	header := m.table.Header
	same := 0
	for _, h := range header {
		if i < len(header) && strings.EqualFold(h, header[i]) {
			same++
		}
	}
	if i >= len(header) || header[i] == "" || same != 1 {
		return []exchange.Ref{{Number: i + 1}}
	}
	return []exchange.Ref{{Name: header[i]}}
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
