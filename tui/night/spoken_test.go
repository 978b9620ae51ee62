package night

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/tui/console"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
)

// A spokenRig is a night told as lines, whose shows are all the demo, run by hand.
type spokenRig struct {
	*Spoken
	t      *testing.T
	run    *screentest.Run // of the show that was opened last
	closed int
	fail   error // of the next open
}

func newSpokenRig(t *testing.T) *spokenRig {
	n := &spokenRig{t: t}
	n.Spoken = NewSpoken(Setup{
		Shows: slices.Clone(shows), Between: findings, Look: screen.Look{Theme: screen.PlainTheme()},
		Close: func() error { n.closed++; return nil },
		Open: func(i int) (Run, error) {
			if n.fail != nil {
				return Run{}, n.fail
			}
			sh, plan := screentest.Demo(t)
			n.run = screentest.NewRun(plan)
			c := console.NewSpoken(console.Setup{Show: sh, Plan: plan, Run: n.run, Keys: screen.MustKeymap(console.Keys), Look: screen.Look{Theme: screen.PlainTheme()}, Now: func() time.Time { return screentest.Epoch }})
			return Run{Spoken: c, Show: shows[i], Between: findings}, nil
		},
	})
	return n
}

// hears presses keys, and returns what is said to them and right after.
func (n *spokenRig) hears(keys ...string) (said string, quit bool) {
	for _, k := range keys {
		lines, cmd := n.Hear(n.Arrived(screen.Input{Key: k}, screentest.Epoch))
		also, then := n.Look()
		said = strings.Join(append(lines, also...), "\n")
		for _, c := range []tea.Cmd{cmd, then} {
			if c != nil {
				_, is := c().(tea.QuitMsg)
				quit = quit || is
			}
		}
	}
	return said, quit
}

func (n *spokenRig) says(want string, keys ...string) {
	n.t.Helper()
	if said, quit := n.hears(keys...); !strings.Contains(said, want) || quit {
		n.t.Errorf("to %q is said %q, quit %v; want %q", keys, said, quit, want)
	}
}

// TestSpokenNight goes through a night: the list, a show to its end, one that does not
// open, and out.
func TestSpokenNight(t *testing.T) {
	t.Parallel()
	n := newSpokenRig(t)
	first, _ := n.Look()
	for _, want := range []string{"THE NIGHT. 4 shows. Nothing is armed.", "pins 1 to 4, 7", "Show 1 of 4: Harbour Evening, 2:22, 98 cues, not yet run, as locked 2026-11-20 18:02 UTC"} {
		if said := strings.Join(first, "\n"); !strings.Contains(said, want) {
			t.Errorf("the night begins with %q, without %q", said, want)
		}
	}
	n.says("Show 2 of 4: Interlude for Bells", "down")
	n.says("enter opens the show", "x")
	n.says("Opening Harbour Evening", "up", "enter")
	if lines, _ := n.Look(); !strings.HasPrefix(strings.Join(lines, "\n"), "SAFE. ") {
		t.Errorf("the show begins with %q", lines)
	}
	_, plan := screentest.Demo(t)
	length := plan.Length.At(plan.Rate)
	n.run.Command(show.Arm, 0, show.Command{})
	n.run.Command(show.Start, 0, show.Command{})
	n.run.To(length)
	n.Look()
	n.says("Back to the list. Show 2 of 4: ", "q")
	if n.closed != 1 {
		t.Errorf("%d shows were closed, want 1", n.closed)
	}
	n.says("Harbour Evening, 2:22, 98 cues, ended", "up")
	n.fail = errors.New("the stick is gone")
	n.says("Show 4 of 4: 4-spare. It does not open: the stick is gone", "down", "down", "down", "enter")
	if _, quit := n.hears("q"); !quit {
		t.Error("q does not end the night")
	}
}
