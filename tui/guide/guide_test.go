package guide

import (
	"bytes"
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

// newScreen is a guide on a list that maps nothing by itself.
func newScreen(w, h int) *Screen {
	m := New(Source{
		Name: "list.csv",
		Table: func(p exchange.Profile) (*exchange.Table, error) {
			return exchange.ReadTable("list.csv", bytes.NewReader([]byte(list)), p)
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

func TestGuide(t *testing.T) {
	t.Parallel()
	m := newScreen(80, 24)
	if s := m.View(); !strings.Contains(s, "2 things are open") || !strings.Contains(s, "no column for effect_at") {
		t.Errorf("an open mapping is not told:\n%s", s)
	}
	if m.press("enter") {
		t.Fatal("left with an open mapping")
	}
	// cue from column 1, effect_at from 2, position from 4.
	m.press("l", "down", "right", "right", "j", "j", "l", "l", "l", "l")
	s := m.View()
	for _, want := range []string{"cue         No.", "effect_at   Break (s)", "position    Site", "0:12.500", "0:14.000", "Right", "2 cues", "skipped: list.csv:5:"} {
		if !strings.Contains(s, want) {
			t.Errorf("no %q in\n%s", want, s)
		}
	}
	// What stands where the file has nothing.
	m.press("down", "f", "M", "9", "backspace", "1", "enter")
	if got := m.p.Fill[exchange.Module]; got != "M1" {
		t.Errorf("filled with %q; want M1", got)
	}
	m.press("f", "x", "esc")
	if got := m.p.Fill[exchange.Module]; got != "M1" {
		t.Errorf("a fill that was left became %q", got)
	}
	// Times of ignition, with the prefire from column 3.
	m.press("tab", "right", "tab", "up", "up", "right", "right", "right")
	if s := m.View(); !strings.Contains(s, "0:14.700") {
		t.Errorf("no ignition time in\n%s", s)
	}
	if !m.press("enter") {
		t.Fatal("enter does not import")
	}
	p, ok := m.Profile()
	res, err := exchange.Convert(m.table, p)
	if !ok || err != nil || len(res.Cues) != 2 || res.Cues[0].Module != "M1" || res.Cues[0].Position != "Left" {
		t.Errorf("%v %v %+v", ok, err, res)
	}
}

// TestScreens: the guide before anything is settled, and while a fill is typed.
func TestScreens(t *testing.T) {
	t.Parallel()
	for _, size := range screentest.Sizes {
		m := newScreen(size[0], size[1])
		screentest.Golden(t, fmt.Sprintf("guide-open-%dx%d", size[0], size[1]), m.View())
		screentest.Fits(t, "open", m.View(), size[0], size[1])
		m.press("l", "down", "right", "right", "j", "j", "l", "l", "l", "l", "down", "f", "M", "1")
		screentest.Golden(t, fmt.Sprintf("guide-fill-%dx%d", size[0], size[1]), m.View())
		screentest.Fits(t, "fill", m.View(), size[0], size[1])
	}
}

func TestLeft(t *testing.T) {
	t.Parallel()
	m := newScreen(80, 24)
	if _, ok := m.Profile(); !m.press("q") || ok {
		t.Error("q does not leave without an import")
	}
	if _, cmd := newScreen(80, 24).Update(screen.GoneMsg{}); cmd == nil {
		t.Error("the guide goes on though no key can come")
	}
}

// TestPaste: pasted text presses no keys; it goes into a fill that is typed.
func TestPaste(t *testing.T) {
	t.Parallel()
	m := newScreen(80, 24)
	if m.Update(screen.PasteMsg("jjf")); m.line[columns] != 0 || m.typing {
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
	for _, size := range [][2]int{{80, 24}, {60, 20}, {200, 60}, {59, 24}, {10, 5}} {
		m := newScreen(size[0], size[1])
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
