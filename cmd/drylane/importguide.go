package main

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"drylane/show"
	"drylane/show/exchange"

	tea "github.com/charmbracelet/bubbletea"
)

// errGuideLeft is the error of a guide that was left.
var errGuideLeft = errors.New("left before the end; nothing was written")

// guide settles the profile with a person at the keys.
func (e *env) guide(src *source, p exchange.Profile) (exchange.Profile, error) {
	if !e.terminal() {
		return p, errors.New("--guide: this is no terminal, so nobody can press keys; give the mapping with --map or --profile")
	}
	end, err := tea.NewProgram(newGuide(src, p), tea.WithInput(e.in), tea.WithOutput(e.out), tea.WithAltScreen(),
		tea.WithContext(e.ctx), tea.WithoutSignalHandler()).Run()
	if err != nil {
		return p, err
	}
	g := end.(*guideModel)
	if !g.done {
		return p, errGuideLeft
	}
	return g.p, nil
}

// guideRows is how many rows of the file the guide converts on each key.
const guideRows = 2000

// A guideModel is the screen on which a mapping is settled: our columns on the
// left, the settings on the right, and below them the first rows as they would
// become.
type guideModel struct {
	src  *source
	p    exchange.Profile
	side int // 0: the columns, 1: the settings
	line [2]int

	table *exchange.Table
	set   [exchange.ColumnCount][]int
	res   *exchange.Result
	err   error

	typing  bool // a fill
	text    string
	done    bool
	w, h    int
	partial bool // the file is longer than guideRows
}

// guideSettings are the settings on the right, in their order.
var guideSettings = []string{"times", "notation", "rate", "decimal", "prefire_unit", "caliber_unit", "delimiter", "quotes", "header", "encoding"}

func newGuide(src *source, p exchange.Profile) *guideModel {
	g := &guideModel{src: src, w: 80, h: 24}
	g.p.Overlay(p)
	g.p.Format = p.Format
	for _, key := range guideSettings {
		*g.p.Setting(key) = *p.Setting(key)
	}
	g.p.Zero, g.p.BurnUnit = p.Zero, p.BurnUnit
	g.read()
	return g
}

// read takes the file anew, by what is settled so far.
func (g *guideModel) read() {
	g.res, g.set = nil, [exchange.ColumnCount][]int{}
	if g.table, g.err = g.src.table(g.p); g.err != nil {
		return
	}
	g.set, _ = g.p.Resolve(g.table)
	g.partial = len(g.table.Rows) > guideRows
	g.res, g.err = exchange.Convert(g.table.Head(guideRows), g.p)
}

func (g *guideModel) Init() tea.Cmd { return nil }

func (g *guideModel) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		g.w, g.h = msg.Width, msg.Height
	case tea.KeyMsg:
		if g.typing {
			return g, g.typed(msg)
		}
		if msg.Type != tea.KeyRunes {
			return g, g.key(msg.String())
		}
		// Keys pressed fast, or sent over a slow line, come as one message.
		for _, r := range msg.Runes {
			if cmd := g.key(string(r)); cmd != nil {
				return g, cmd
			}
		}
	}
	return g, nil
}

func (g *guideModel) key(k string) tea.Cmd {
	lines := [2]int{int(exchange.ColumnCount), len(guideSettings)}[g.side]
	switch k {
	case "up", "k":
		g.line[g.side] = (g.line[g.side] + lines - 1) % lines
	case "down", "j":
		g.line[g.side] = (g.line[g.side] + 1) % lines
	case "tab", "shift+tab":
		g.side = 1 - g.side
	case "left", "h":
		g.change(-1)
	case "right", "l":
		g.change(1)
	case "f":
		if g.side == 0 {
			g.typing, g.text = true, g.p.Fill[exchange.Column(g.line[0])]
		}
	case "enter":
		if g.err == nil && len(g.res.Cues) > 0 {
			g.done = true
			return tea.Quit
		}
	case "q", "ctrl+c":
		return tea.Quit
	}
	return nil
}

// typed takes a key of a fill that is being typed.
func (g *guideModel) typed(msg tea.KeyMsg) tea.Cmd {
	switch msg.Type {
	case tea.KeyEnter:
		g.typing = false
		g.p.Fill[exchange.Column(g.line[0])] = strings.TrimSpace(show.Clean(g.text))
		if g.text == "" {
			delete(g.p.Fill, exchange.Column(g.line[0]))
		}
		g.read()
	case tea.KeyEsc:
		g.typing = false
	case tea.KeyCtrlC:
		return tea.Quit
	case tea.KeyBackspace:
		if r := []rune(g.text); len(r) > 0 {
			g.text = string(r[:len(r)-1])
		}
	case tea.KeySpace, tea.KeyRunes:
		if len(g.text) < 200 {
			g.text += string(msg.Runes)
		}
	}
	return nil
}

// change turns the marked line to its next or previous value.
func (g *guideModel) change(step int) {
	if g.side == 1 {
		key := guideSettings[g.line[1]]
		values := settingValues(key)
		at := max(0, slices.Index(values, *g.p.Setting(key)))
		*g.p.Setting(key) = values[(at+step+len(values))%len(values)]
	} else if g.table != nil {
		c := exchange.Column(g.line[0])
		at := -1
		if len(g.set[c]) > 0 {
			at = g.set[c][0]
		}
		n := g.table.Width + 1
		g.p.Map[c] = g.ref((at+1+step+n)%n - 1)
	}
	g.read()
}

// ref names column i of the file: by its name if no other has it.
func (g *guideModel) ref(i int) []exchange.Ref {
	if i < 0 {
		return []exchange.Ref{}
	}
	header := g.table.Header
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

// settingValues are the values that a key turns a setting through; the first
// is what it is when nobody says.
func settingValues(key string) []string {
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
