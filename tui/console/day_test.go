package console

import (
	"testing"
	"time"

	"drylane/show"
	"drylane/show/ready"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"
)

// A day is led through from the board to the close-out: at each point of it the message
// line says what comes next, and with which keys.
func TestDayHints(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	s.Day = true
	maps := keymaps(t)
	all := goes("Radio check", "Field", "Spotter", "Audience line", "Weather", "Sound", "Safety officer")
	for _, c := range []struct {
		name string
		do   func()
		want string
	}{
		{"the board", func() { s.asks(); s.fieldOf(demoField(s), time.Minute) },
			"DAY, field: find faults; enter names, c sends somebody, g once all is right"},
		{"the list", func() { s.press("g") }, "DAY, go / no-go: t for a go, n for a no-go, until all are go"},
		{"without it", func() { s.press("g") }, "DAY, go / no-go: g brings the list"},
		{"all go", func() { s.asks(all...); s.press("g") }, "DAY: everybody is go; a arms"},
		{"armed", func() { s.do(show.Arm, 0, show.Command{}) }, "DAY: armed; enter starts the music"},
		{"started", func() { s.do(show.Start, 0, show.Command{}) }, "DAY: cue 1 is to be seen with the tone; backspace cuts, as if it had failed"},
		{"cut", func() {
			s.do(show.Cut, 6*time.Second, show.Command{})
			s.asks(all...).Upset(ready.MadeSafe)
			s.press("g")
			s.safe(15*time.Minute-18*time.Second, nil)
		}, "DAY, made safe: WAIT 0:18 (seconds in this demo), then c: who goes in"},
		{"waited", func() { s.safe(16*time.Minute, nil) }, "DAY, made safe: c and a digit: somebody goes in and looks"},
		{"in", func() { s.safe(16*time.Minute, map[string]time.Duration{"Quay": time.Minute}, "Quay") }, "DAY, made safe: c and a digit: back from the field"},
		{"back", func() {
			if err := s.run.Snap.Safe.Book.Back("Quay", screentest.Epoch); err != nil {
				t.Fatal(err)
			}
			s.look(screentest.Epoch)
		}, "DAY, go / no-go: g brings the list"},
		{"asked again", func() { s.asks(all...); s.press("g") }, "DAY, start again: u lists the places to go on from"},
		{"the places", func() { s.press("u") }, "DAY, start again: choose a place with ↑ ↓, a arms there"},
		{"chosen", func() { s.press("esc"); s.do(show.Reenter, 0, show.Command{From: time.Minute}) }, "DAY: armed; enter starts the music"},
		{"goes on", func() { s.do(show.Start, 0, show.Command{}) }, "DAY: it goes on; space holds, as if somebody were in the fallout area"},
		{"held", func() { s.do(show.Hold, 70*time.Second, show.Command{}) }, "DAY: t ticks the checklist, then enter resumes"},
		{"resumed", func() { s.do(show.Resume, 70*time.Second, show.Command{Anyway: true}) }, "DAY: until the end y says what was seen of a cue, or that it did not go"},
		{"ended", func() { s.run.To(s.Plan.Length.At(s.Plan.Rate)); s.look(screentest.Epoch) },
			"DAY, close-out: y says what was seen, enter makes it safe"},
	} {
		c.do()
		got := s.dayHint()
		if got != c.want || screen.Width(got) > 78 {
			t.Errorf("%s: %d columns %q, want %q", c.name, screen.Width(got), got, c.want)
		}
		table := s.Keys
		for file, keys := range maps {
			if s.Keys = keys; screen.Width(s.dayHint()) > 78 {
				t.Errorf("%s, %s: %d columns %q", c.name, file, screen.Width(s.dayHint()), s.dayHint())
			}
		}
		s.Keys = table
	}
	s.run.Snap.Message.Text = ""
	if got, style := s.messageText(); got != s.dayHint() || style != screen.Strong {
		t.Errorf("the line says %q", got)
	}
}
