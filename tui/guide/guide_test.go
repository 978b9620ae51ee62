package guide

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"drylane/show"
	"drylane/show/exchange"
	"drylane/show/timebase"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
)

const list = "The pier;;;;\nNo.;Break (s);Lead;Site;\x1b[2JRemarks\n1;12,5;2,2;Left;first\n2;14,0;2,2;Right;\nTotal;;;;\n"

// unnamed says nothing of its columns, of which there are twelve.
const unnamed = "a;b;c;d;e;f;g;h;i;j;k;l\n;12,5;2,2;;;;;;;;;Left\n;14,0;2,2;;;;;;;;;Right\n"

// newScreen is a guide on a list.
func newScreen(text string, w, h int) *Screen {
	m := New(Source{
		Name: "list.csv",
		Table: func(p exchange.Profile) (*exchange.Table, error) {
			return exchange.ReadTable("list.csv", bytes.NewReader([]byte(text)), p)
		},
		Read:  func(t *exchange.Table) string { return "read as " + t.Format.Encoding },
		Found: func(r *exchange.Result) string { return fmt.Sprintf("%d cues", len(r.Cues)) },
		Notes: func(*exchange.Result) []string { return nil },
		Cells: func(c show.Cue) []string {
			return []string{c.ID, timebase.ClockMillis(c.EffectAt), "", c.Position, c.Module}
		},
	}, exchange.Profile{}, screen.Look{Theme: screen.PlainTheme()})
	m.Update(tea.WindowSizeMsg{Width: w, Height: h})
	return m
}

// press presses keys; left reports whether one of them ends the guide.
func (m *Screen) press(keys ...string) (left bool) {
	for _, k := range keys {
		if _, cmd := m.Update(m.Arrived(screen.Input{Key: k}, screentest.Epoch)); cmd != nil {
			return true
		}
	}
	return false
}

// TestGuesses: what names and values say is proposed and marked as a guess, the rows
// of the file stand beside what they become, and nothing but enter is needed.
func TestGuesses(t *testing.T) {
	t.Parallel()
	m := newScreen(list, 80, 24)
	s := m.View()
	for _, want := range []string{"cue         ? 1 No.", "effect_at   ? 2 Break (s)", "prefire     ? 3 Lead", "position    ? 4 Site",
		"2 Break (s) → effect_at  12,5", "look at each ? (4 guesses). 2 cues", "skipped: list.csv:5:"} {
		if !strings.Contains(s, want) {
			t.Errorf("no %q in\n%s", want, s)
		}
	}
	beside := false
	for line := range strings.Lines(s) {
		beside = beside || strings.Contains(line, "12,5") && strings.Contains(line, "0:12.500")
	}
	if !beside || !strings.Contains(s, "no cue") {
		t.Errorf("no row of the file stands beside what it becomes:\n%s", s)
	}
	if !m.press("enter") {
		t.Fatal("enter does not import")
	}
}

// TestDigits: a digit chooses the column for the marked line, 0 none; a second digit
// goes on with the number where the file has so many columns.
func TestDigits(t *testing.T) {
	t.Parallel()
	m := newScreen(unnamed, 80, 24)
	if s := m.View(); !strings.Contains(s, "things are open") && !strings.Contains(s, "thing is open") {
		t.Errorf("an open mapping is not told:\n%s", s)
	}
	if m.press("enter") {
		t.Fatal("left with an open mapping")
	}
	m.press("down", "2", "down", "3", "down", "1", "2")
	for c, want := range map[exchange.Column]string{exchange.EffectAt: "b", exchange.Prefire: "c", exchange.Position: "l"} {
		if refs := m.p.Map[c]; len(refs) != 1 || refs[0].Name != want {
			t.Errorf("%s is made from %v, want %s", c, refs, want)
		}
	}
	m.press("up", "0", "down")
	if refs, given := m.p.Map[exchange.Prefire]; !given || len(refs) > 0 {
		t.Errorf("0 leaves %v", refs)
	}
	m.press("1", "9") // there is no nineteenth
	if refs := m.p.Map[exchange.Position]; len(refs) != 1 || refs[0].Name != "i" {
		t.Errorf("1 and 9 give %v, want the ninth", refs)
	}
	m.press("1", "up", "down", "2") // not the twelfth: the line was left between them
	if refs := m.p.Map[exchange.Position]; len(refs) != 1 || refs[0].Name != "b" {
		t.Errorf("1, another line and 2 give %v, want the second", refs)
	}
}

// TestGuessGivesWay: a column that a person gives to one of ours is not another's by a
// guess any more; what a person gave to both stays with both.
func TestGuessGivesWay(t *testing.T) {
	t.Parallel()
	m := newScreen(list, 80, 24)
	m.press("down", "down", "down", "down", "4") // module from the column that position was guessed from
	if refs := m.p.Map[exchange.Position]; len(refs) > 0 || m.guessed[exchange.Position] {
		t.Errorf("position is still made from %v", refs)
	}
	m.press("up", "4")
	if len(m.p.Map[exchange.Position]) != 1 || len(m.p.Map[exchange.Module]) != 1 {
		t.Errorf("%v", m.p.Map)
	}
}

// TestChange: the arrows, a fill, and times of ignition.
func TestChange(t *testing.T) {
	t.Parallel()
	m := newScreen(list, 80, 24)
	m.press("down", "down", "down", "down", "f", "M", "9", "backspace", "1", "enter")
	if got := m.p.Fill[exchange.Module]; got != "M1" {
		t.Errorf("filled with %q; want M1", got)
	}
	m.press("f", "x", "esc")
	if got := m.p.Fill[exchange.Module]; got != "M1" {
		t.Errorf("a fill that was left became %q", got)
	}
	m.press("tab", "right")
	if s := m.View(); !strings.Contains(s, "0:14.700") || !strings.Contains(s, "ignition") {
		t.Errorf("no ignition time in\n%s", s)
	}
	m.press("tab", "up", "left") // position from the column before
	if s := m.View(); !strings.Contains(s, "position    3 Lead") {
		t.Errorf("the arrow does not change:\n%s", s)
	}
	m.press("right")
	if !m.press("enter") {
		t.Fatal("enter does not import")
	}
	p, ok := m.Profile()
	res, err := exchange.Convert(m.table, p)
	if !ok || err != nil || len(res.Cues) != 2 || res.Cues[0].Module != "M1" || res.Cues[0].Position != "Left" {
		t.Errorf("%v %v %+v", ok, err, res)
	}
}

// TestKeep: the end is a name for the next time; one that cannot be had is told, and
// without one nothing is kept.
func TestKeep(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		keys []string
		kept string
	}{
		{[]string{"enter", "enter"}, "list.toml"},
		{[]string{"enter", "esc", "enter", "backspace", "backspace", "backspace", "backspace", "backspace", "2", "enter"}, "list2"},
		{[]string{"enter", "x", "enter", "backspace", "enter"}, "list.toml"}, // the first name is taken
		{[]string{"enter", "backspace", "backspace", "backspace", "backspace", "backspace", "backspace", "backspace", "backspace", "backspace", "enter"}, ""},
	} {
		m := newScreen(list, 80, 24)
		kept := ""
		m.src.Kept = "list.toml"
		m.src.Keep = func(name string) error {
			if name == "list.tomlx" {
				return errors.New("list.tomlx: found a file there already")
			}
			kept = name
			return nil
		}
		m.press("enter")
		if s := m.View(); !strings.Contains(s, "keep these settings in the file: list.toml_") || !strings.Contains(s, "--profile NAME") {
			t.Fatalf("no name is asked for:\n%s", s)
		}
		left := m.press(c.keys[1:]...)
		if _, done := m.Profile(); !left || !done || kept != c.kept {
			t.Errorf("%q: left %v, done %v, kept as %q, want %q", c.keys, left, done, kept, c.kept)
		}
	}
}

// TestScreens: the guide before anything is settled, and while a fill is typed.
func TestScreens(t *testing.T) {
	t.Parallel()
	for _, size := range screentest.Sizes {
		m := newScreen(list, size[0], size[1])
		screentest.Golden(t, fmt.Sprintf("guide-open-%dx%d", size[0], size[1]), m.View())
		screentest.Fits(t, "open", m.View(), size[0], size[1])
		m.press("down", "down", "down", "down", "f", "M", "1")
		screentest.Golden(t, fmt.Sprintf("guide-fill-%dx%d", size[0], size[1]), m.View())
		screentest.Fits(t, "fill", m.View(), size[0], size[1])
		m.press("esc", "tab")
		screentest.Golden(t, fmt.Sprintf("guide-settings-%dx%d", size[0], size[1]), m.View())
	}
}

func TestLeft(t *testing.T) {
	t.Parallel()
	m := newScreen(list, 80, 24)
	if _, ok := m.Profile(); !m.press("q") || ok {
		t.Error("q does not leave without an import")
	}
	if _, cmd := newScreen(list, 80, 24).Update(screen.GoneMsg{}); cmd == nil {
		t.Error("the guide goes on though no key can come")
	}
}

// TestPaste: pasted text presses no keys; it goes into a fill that is typed.
func TestPaste(t *testing.T) {
	t.Parallel()
	m := newScreen(list, 80, 24)
	if m.Update(screen.PasteMsg("jjf")); m.line[columns] != 0 || m.typing != nothing {
		t.Error("pasted text was taken for keys")
	}
	m.press("f")
	m.Update(screen.PasteMsg("Left\x1b flank"))
	m.press("enter")
	if got := m.p.Fill[exchange.Cue]; got != "Left flank" {
		t.Errorf("filled with %q", got)
	}
}

// TestFits: the screen never passes the terminal, at any place of the cursor,
// and nothing of the file gets to the terminal raw.
func TestFits(t *testing.T) {
	t.Parallel()
	for i, size := range [][2]int{{80, 24}, {60, 20}, {200, 60}, {59, 24}, {10, 5}, {80, 24}} {
		m := newScreen([]string{list, unnamed}[i%2], size[0], size[1])
		for range 2 {
			for range 12 {
				m.press("right")
				screentest.Fits(t, "the guide", m.View(), size[0], size[1])
				if strings.Contains(m.View(), "\x1b[2J") || ansi.Strip(m.View()) != m.View() {
					t.Fatalf("%v: a control sequence of the file in\n%q", size, m.View())
				}
				m.press("down")
			}
			m.press("tab")
		}
	}
}
