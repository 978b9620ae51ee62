package console

import (
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
)

// asciiScene is a console on a terminal without UTF-8, over a show whose positions have
// names that need it.
func asciiScene(t testing.TB, w, h int, positions ...string) *scene {
	t.Helper()
	sh, plan := bigShow(60)
	for i := range sh.Cues {
		c := &sh.Cues[i]
		c.Position = positions[i%len(positions)]
		c.Effect = "grüne Päonie – „Schweif“, 漢"
	}
	plan = show.NewPlan(sh.Cues, sh.Console, screentest.Rate, plan.Length)
	run := screentest.NewRun(plan)
	m := New(Setup{Show: sh, Plan: plan, Run: run, Wave: testWave, Keys: screen.MustKeymap(Keys),
		Look: screen.Look{Theme: screen.PlainTheme(), ASCII: true}, Now: func() time.Time { return screentest.Epoch }})
	m.Update(tea.WindowSizeMsg{Width: w, Height: h})
	return &scene{m, run}
}

// TestASCIILosesNothing: on a terminal without UTF-8 every name of a show is there, and
// no two look the same.
func TestASCIILosesNothing(t *testing.T) {
	t.Parallel()
	positions := []string{"Mühle", "Muehle", "Quai", "Quaï", "桟橋北", "桟橋南", "Причал"}
	shown := []string{"#1 Muehle", "Muehle", "Quai", "#4 Quai", "#5 {685F}", "#6 {685F}", "Prichal"}
	for _, size := range screentest.Sizes {
		s := asciiScene(t, size[0], size[1], positions...)
		s.runTo(10 * time.Second)
		got := s.View()
		if i := strings.IndexFunc(got, func(r rune) bool { return r > 126 }); i >= 0 {
			t.Errorf("%s: %q is no ASCII", s.size(), got[i:i+4])
		}
		if strings.Contains(strings.ReplaceAll(got, "? help", ""), "?") {
			t.Errorf("%s: a question mark stands for something:\n%s", s.size(), got)
		}
		for _, name := range shown {
			if !strings.Contains(got, name) {
				t.Errorf("%s: %q is not there", s.size(), name)
			}
		}
		screentest.Golden(t, "ascii-names-"+s.size(), got)
		screentest.Fits(t, "ascii-names", got, size[0], size[1])
	}
}
