package night

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"drylane/playback/calibration"
	"drylane/playback/evening"
	"drylane/show"
	"drylane/show/check"
	"drylane/tui/calibrate"
	"drylane/tui/console"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"
	"drylane/tui/stage"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"
)

// locked is how a show stands to its lock, for good.
func locked(word evening.Lock, words string) func() (evening.Lock, string) {
	return func() (evening.Lock, string) { return word, words }
}

// shows are the shows of an invented night.
var shows = []evening.Line{
	{Title: "Harbour Evening", Folder: "/shows/1-harbour", Length: 142 * time.Second, Cues: 98, Soundtrack: "soundtrack.mp3", Lock: locked(evening.AsLocked, "as locked 2026-11-20 18:02 UTC")},
	{Title: "Interlude for Bells and a Very Long Title", Folder: "/shows/2-bells", Length: 5*time.Minute + 8*time.Second, Cues: 1204, Soundtrack: "bells-and-brass-master.flac", Lock: locked(evening.NotLocked, "not locked")},
	{Title: "Grand Finale", Folder: "/shows/3-finale", Length: time.Hour + 65*time.Second, Cues: 10000, Soundtrack: "finale.wav", Lock: locked(evening.Changed, "changed since 2026-11-20 18:04 UTC: cues.csv")},
	{Title: "4-spare", Folder: "/shows/4-spare", Problem: `show.toml:3:1: found "cuse" as a key; wanted "cues"`},
}

var findings = check.Findings{
	{Severity: show.SeverityStop, Code: "night-pin", Place: "module M3", Found: "pins 1 to 4, 7 are used by Harbour Evening and Grand Finale", Do: "give each show pins of its own"},
	{Severity: show.SeverityWarn, Code: "night-player", Place: "player sound desk", Found: "it is to play another file from show to show: soundtrack.mp3 for Harbour Evening, finale.wav for Grand Finale", Do: "plan who changes the file between the shows, or take another player"},
}

// A rig is a night whose shows are all the demo, run by hand.
type rig struct {
	*Screen
	t      *testing.T
	opened []*opened
	closed int
	fail   error   // of the next open
	tick   tea.Msg // the latest of the open console
}

// opened is a show that was opened.
type opened struct {
	*console.Screen
	run *screentest.Run
}

func themes(name string) *screen.Theme { return screen.NewTheme(name, termenv.TrueColor) }

func newRig(t *testing.T, w, h int) *rig {
	n := &rig{t: t}
	n.Screen = New(Setup{
		Shows: append([]evening.Line(nil), shows...), Between: findings, Look: screen.Look{Theme: screen.PlainTheme(), Themes: themes}, Now: func() time.Time { return screentest.Epoch },
		Close: func() error { n.closed++; return nil },
		Open: func(i int) (Run, error) {
			if n.fail != nil {
				return Run{}, n.fail
			}
			sh, plan := screentest.Demo(t)
			run := screentest.NewRun(plan)
			c := console.New(console.Setup{Show: sh, Plan: plan, Run: run, Keys: screen.MustKeymap(console.Keys), Look: screen.Look{Theme: screen.PlainTheme(), Themes: themes}, Now: func() time.Time { return screentest.Epoch }})
			n.opened = append(n.opened, &opened{c, run})
			return Run{Stage: stage.New(c, nil, n.calibrate), Show: shows[i], Between: findings}, nil
		},
	})
	n.Update(tea.WindowSizeMsg{Width: w, Height: h})
	return n
}

// calibrate is a calibration of which nothing comes.
func (n *rig) calibrate() (calibrate.Setup, error) {
	run := func(context.Context, <-chan time.Time, func(int)) (calibration.Result, error) {
		return calibration.Result{}, errors.New("too unsteady")
	}
	return calibrate.Setup{Run: run, Look: screen.Look{Theme: screen.PlainTheme()}}, nil
}

// press presses keys, each followed by what comes of it except for ticks.
func (n *rig) press(keys ...string) (quit bool) {
	for _, k := range keys {
		_, cmd := n.Update(n.Arrived(screen.Input{Key: k}, screentest.Epoch))
		quit = n.follow(cmd) || quit
	}
	return quit
}

func (n *rig) follow(cmd tea.Cmd) (quit bool) {
	for cmd != nil {
		msg := cmd()
		switch msg := msg.(type) {
		case tea.QuitMsg:
			return true
		case screen.TickMsg:
			n.tick = msg
			return false
		case tea.BatchMsg:
			for _, c := range msg {
				quit = n.follow(c) || quit
			}
			return quit
		}
		_, cmd = n.Update(msg)
	}
	return false
}

// last is the show that was opened last.
func (n *rig) last() *opened { return n.opened[len(n.opened)-1] }

// runTo runs the open show to a moment of the music, and lets its console see
// that.
func (n *rig) runTo(at time.Duration) {
	n.last().run.To(at)
	n.Update(n.tick)
}

// do gives the open show's transport a command, likewise.
func (n *rig) do(a show.Action, at time.Duration) {
	n.last().run.Command(a, at, show.Command{})
	n.Update(n.tick)
}

func (n *rig) sees(texts ...string) {
	n.t.Helper()
	view := n.View()
	for _, s := range texts {
		if !strings.Contains(view, s) {
			n.t.Errorf("the screen lacks %q:\n%s", s, view)
		}
	}
}

// TestNightScreens holds the list against its golden screens: before the first
// show, and later in the night.
func TestNightScreens(t *testing.T) {
	t.Parallel()
	for _, size := range screentest.Sizes {
		n := newRig(t, size[0], size[1])
		screentest.Golden(t, fmt.Sprintf("night-start-%dx%d", size[0], size[1]), n.View())
		n.ran = []runMark{{ranThrough, 142 * time.Second}, {wasCut, 83 * time.Second}, {wasLeft, time.Hour + 5*time.Second}, {}}
		n.list.Mark = 3
		screentest.Golden(t, fmt.Sprintf("night-later-%dx%d", size[0], size[1]), n.View())
		screentest.Fits(t, "later", n.View(), size[0], size[1])
	}
}

// TestNightOfManyShows: the marked line stays in sight in any window, and the
// list never grows over what stands below.
func TestNightOfManyShows(t *testing.T) {
	t.Parallel()
	for _, size := range [][2]int{{64, 18}, {80, 24}, {120, 36}} {
		n := newRig(t, size[0], size[1])
		n.Shows, n.ran = nil, make([]runMark, 40)
		for i := range 40 {
			n.Shows = append(n.Shows, evening.Line{Title: fmt.Sprintf("Show %02d", i+1)})
		}
		n.list.Rows = 40
		n.arrange()
		for i := range 40 {
			if n.sees(fmt.Sprintf("▸ Show %02d", i+1), fmt.Sprintf("show %d of 40", i+1), "enter OPEN"); t.Failed() {
				return
			}
			n.press("down")
		}
	}
	n := newRig(t, 40, 10)
	n.sees("too small", "needs 64 x 18", "Harbour Evening", "not yet run")
}

// TestNight goes through an evening: a show to its end, one that is cut, one
// that is left in the middle, and a show run twice.
func TestNight(t *testing.T) {
	t.Parallel()
	n := newRig(t, 120, 36)
	n.press("enter")
	n.sees("SAFE", "a ARM")
	n.runTo(200 * time.Second)
	n.press("q")
	n.sees("THE NIGHT  1 of 4 ended", "▸ Interlude") // and on to the next
	if !n.last().run.Over || n.closed != 1 {
		t.Errorf("quit %v, closed %d times", n.last().run.Over, n.closed)
	}

	n.press("enter")
	n.runTo(83 * time.Second)
	n.do(show.Cut, 83*time.Second)
	n.press("q")
	n.sees("cut at 1:23")

	n.press("down", "enter")
	n.runTo(30 * time.Second)
	n.press("q")
	n.sees("Quit the rehearsal?")
	n.press("n")
	n.sees("RUNNING")
	n.press("q", "y")
	n.sees("left at 0:30", "THE NIGHT  1 of 4 ended")

	n.press("up", "up", "up", "enter")
	n.runTo(10 * time.Second)
	n.do(show.Hold, 10*time.Second)
	n.press("q", "y")
	n.sees("left at 0:10", "THE NIGHT  0 of 4 ended")
	if n.closed != 4 || len(n.opened) != 4 {
		t.Errorf("opened %d, closed %d", len(n.opened), n.closed)
	}
	if !n.press("q") {
		t.Error("q on the list does not end the program")
	}
}

// TestNightRemembersTheEnd: a show that ended and was made ready for another
// run that never began has ended.
func TestNightRemembersTheEnd(t *testing.T) {
	t.Parallel()
	n := newRig(t, 120, 36)
	n.press("enter")
	n.runTo(200 * time.Second)
	n.do(show.Reset, 0)
	n.do(show.Arm, 0)
	n.do(show.Cut, 0)
	n.press("q")
	n.sees("1 of 4 ended")
}

// TestNightAfterAnAside: a run that ends while another screen stands in its
// console's place leads back to the list, and does not end the night.
func TestNightAfterAnAside(t *testing.T) {
	t.Parallel()
	n := newRig(t, 120, 36)
	n.press("enter")
	tick := n.tick // the console's
	n.press("k")
	n.sees("CALIBRATION")
	n.last().run.Snap.Done = true
	if _, cmd := n.Update(tick); n.follow(cmd) {
		t.Error("the end of a run ended the night")
	}
	n.sees("THE NIGHT")
	if n.closed != 1 {
		t.Errorf("closed %d times", n.closed)
	}
}

// TestNightKeepsShowsApart: nothing of a console that was left reaches the
// next one, and a second q, pressed before the first was taken, does not end
// the night.
func TestNightKeepsShowsApart(t *testing.T) {
	t.Parallel()
	n := newRig(t, 120, 36)
	n.press("enter")
	old, tick := n.open.Load(), n.tick
	q1, q2 := n.Arrived(screen.Input{Key: "q"}, screentest.Epoch), n.Arrived(screen.Input{Key: "q"}, screentest.Epoch)
	_, cmd1 := n.Update(q1)
	_, cmd2 := n.Update(q2)
	if n.follow(cmd1) || n.follow(cmd2) {
		t.Error("q q on a console ended the night")
	}
	if n.closed != 1 {
		t.Errorf("closed %d times", n.closed)
	}
	n.press("enter")
	if _, cmd := n.Update(tick); cmd != nil {
		t.Error("a tick of the old console goes on in the new one")
	}
	n.Update(leftMsg{old})
	n.sees("SAFE", "a ARM")
	n.Arrived(screen.Input{Key: "space"}, screentest.Epoch)
	if len(n.opened[0].run.Did) > 0 || len(n.opened[1].run.Did) != 1 {
		t.Error("the hold key did not reach the show that is open alone")
	}
}

// TestNightWaits: while a show is being opened no other can be, and one that
// cannot be opened says why and can be tried again.
func TestNightWaits(t *testing.T) {
	t.Parallel()
	n := newRig(t, 120, 36)
	_, opening := n.Update(screen.KeyMsg{Key: "enter"})
	n.sees("opening Harbour Evening")
	if _, cmd := n.Update(screen.KeyMsg{Key: "enter"}); cmd != nil {
		t.Error("opens a second show at the same time")
	}
	n.fail = errors.New("soundtrack.mp3 cannot be opened")
	n.follow(opening)
	n.sees("Harbour Evening cannot be opened", "soundtrack.mp3 cannot be opened", "THE NIGHT")
	n.fail = nil
	n.press("enter")
	n.sees("SAFE", "a ARM")
	n.Setup.Close = func() error { return errors.New("the session log could not be written") }
	n.press("q")
	n.sees("the session log could not be written")
	if strings.Contains(n.View(), "soundtrack.mp3 cannot") {
		t.Error("what was put right is still said")
	}
}

// TestNightTheme: the theme goes into the console and comes back with it.
func TestNightTheme(t *testing.T) {
	t.Parallel()
	n := newRig(t, 120, 36)
	n.press("m", "m")
	if n.Theme.Name != "light" {
		t.Fatalf("theme %s", n.Theme.Name)
	}
	n.press("enter", "m")
	if got := n.last().Theme.Name; got != "night" {
		t.Errorf("the console's theme: %s", got)
	}
	if n.press("q"); n.Theme.Name != "night" {
		t.Errorf("the list's theme: %s", n.Theme.Name)
	}
}

// TestNightHelp: the console of a night says where quitting leads, and only
// that one does.
func TestNightHelp(t *testing.T) {
	t.Parallel()
	n := newRig(t, 120, 60)
	n.press("enter", "?", "pgdown")
	n.sees("back to the list of shows")
	if strings.Contains(screen.MustKeymap(console.Keys).Markdown(), "list of shows") {
		t.Error("a console by itself speaks of a list")
	}
}

// TestNightMouse: a press marks the line that it hits, the wheel the next one.
func TestNightMouse(t *testing.T) {
	t.Parallel()
	n := newRig(t, 120, 36)
	for y, l := range strings.Split(n.View(), "\n") {
		if strings.Contains(l, "3:") || strings.Contains(l, "Grand Finale ") && strings.Contains(l, "finale.wav") {
			n.Update(screen.MouseMsg{X: 10, Y: y})
			n.sees("▸ Grand Finale")
		}
	}
	n.Update(screen.MouseMsg{Wheel: 1})
	n.sees("▸ 4-spare")
	n.Update(screen.MouseMsg{X: 10, Y: 30})
	n.sees("▸ 4-spare")
}

// TestLockIsReadMeanwhile: what is not read yet is said to be so, and the list looks
// again by itself until it is.
func TestLockIsReadMeanwhile(t *testing.T) {
	n := newRig(t, 200, 60)
	word, words := evening.NotRead, "code.wav not read yet, the rest as locked 2026-11-20 18:02 UTC"
	n.Shows[0].Lock = func() (evening.Lock, string) { return word, words }
	look := n.Init()
	if look == nil {
		t.Fatal("nobody looks again")
	}
	n.sees("not read", "code.wav not read yet")
	_, again := n.Update(look())
	if again == nil {
		t.Fatal("nobody looks a third time")
	}
	if n.Init() != nil {
		t.Error("two look at a time")
	}
	word, words = evening.Changed, "changed since 2026-11-20 18:02 UTC: code.wav"
	if _, more := n.Update(again()); more != nil {
		t.Error("somebody still looks")
	}
	n.sees("changed since 2026-11-20 18:02 UTC: code.wav")
}
