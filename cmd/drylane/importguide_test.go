package main

import (
	"strings"
	"testing"

	"drylane/show/exchange"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
)

const guideList = "The pier;;;;\nNo.;Break (s);Lead;Site;\x1b[2JRemarks\n1;12,5;2,2;Left;first\n2;14,0;2,2;Right;\nTotal;;;;\n"

// newTestGuide is a guide on a list that maps nothing by itself.
func newTestGuide() *guideModel {
	return newGuide(&source{name: "list.csv", data: []byte(guideList)}, exchange.Profile{})
}

// press presses keys; runes that are no key's name are typed as one message,
// as a fast typist's are.
func (g *guideModel) press(keys ...string) (left bool) {
	named := map[string]tea.KeyType{
		"up": tea.KeyUp, "down": tea.KeyDown, "left": tea.KeyLeft, "right": tea.KeyRight,
		"tab": tea.KeyTab, "enter": tea.KeyEnter, "esc": tea.KeyEsc, "backspace": tea.KeyBackspace,
	}
	for _, k := range keys {
		msg := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(k)}
		if t, ok := named[k]; ok {
			msg = tea.KeyMsg{Type: t}
		}
		if _, cmd := g.Update(msg); cmd != nil {
			return true
		}
	}
	return false
}

func TestGuide(t *testing.T) {
	g := newTestGuide()
	if s := g.View(); !strings.Contains(s, "2 things are open") || !strings.Contains(s, "no column for effect_at") {
		t.Errorf("an open mapping is not told:\n%s", s)
	}
	if g.press("enter") {
		t.Fatal("left with an open mapping")
	}
	// cue from column 1, effect_at from 2, position from 4, and all keys of a
	// burst taken one by one.
	g.press("l", "down", "right", "right", "jj", "llll")
	s := g.View()
	for _, want := range []string{"cue         No.", "effect_at   Break (s)", "position    Site", "0:12.500", "0:14.000", "Right", "2 cues", "skipped: list.csv:5:"} {
		if !strings.Contains(s, want) {
			t.Errorf("no %q in\n%s", want, s)
		}
	}
	// What stands where the file has nothing.
	g.press("down", "f", "M", "9", "backspace", "1", "enter")
	if got := g.p.Fill[exchange.Module]; got != "M1" {
		t.Errorf("filled with %q; want M1", got)
	}
	g.press("f", "x", "esc")
	if got := g.p.Fill[exchange.Module]; got != "M1" {
		t.Errorf("a fill that was left became %q", got)
	}
	// Times of ignition, with the prefire from column 3.
	g.press("tab", "right", "tab", "up", "up", "right", "right", "right")
	if s := g.View(); !strings.Contains(s, "0:14.700") {
		t.Errorf("no ignition time in\n%s", s)
	}
	if !g.press("enter") || !g.done {
		t.Fatal("enter does not import")
	}
	res, err := exchange.Convert(g.table, g.p)
	if err != nil || len(res.Cues) != 2 || res.Cues[0].Module != "M1" || res.Cues[0].Position != "Left" {
		t.Errorf("%v %+v", err, res)
	}
}

func TestGuideLeft(t *testing.T) {
	if g := newTestGuide(); !g.press("q") || g.done {
		t.Error("q does not leave without an import")
	}
}

// TestGuideFits: the screen never passes the terminal, at any place of the
// cursor, and nothing of the file gets to the terminal raw.
func TestGuideFits(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {60, 20}, {200, 60}, {59, 24}, {10, 5}} {
		g := newTestGuide()
		g.Update(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
		for range 2 {
			for range 12 {
				g.press("right")
				lines := strings.Split(g.View(), "\n")
				if len(lines) > size[1] {
					t.Fatalf("%v: %d lines", size, len(lines))
				}
				for _, l := range lines {
					if w := ansi.StringWidth(l); w > size[0] {
						t.Fatalf("%v: a line of %d columns: %q", size, w, l)
					}
					if strings.Contains(l, "\x1b[2J") {
						t.Fatalf("%v: a control sequence of the file in %q", size, l)
					}
				}
				g.press("down")
			}
			g.press("tab")
		}
	}
}
