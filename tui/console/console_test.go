package console

import (
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/board"
	"drylane/show/timebase"
	"drylane/show/words"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/exp/teatest"
	"github.com/muesli/termenv"
)

func TestKeysCommand(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		state, keys, want string
	}{
		{"safe", "a", "arm"},
		{"safe", "enter", "go"}, // the run knows what comes next
		{"armed", "enter", "go"},
		{"armed", "backspace", "cut"},
		{"running", "space", "hold"},
		{"running", "space space space", "hold, hold, hold"}, // the transport refuses a second hold
		{"running", "enter enter", "go, go"},
		{"running", "left right shift+left shift+right", "EARLIER 0.1 s, LATER 0.1 s, EARLIER 0.5 s, LATER 0.5 s"},
		{"running", "j f e l", "tap, tap, early, late"},
		{"running", "down d", "stand down position Quay"},
		{"running", "v down d", "stand down module B1"},
		{"down", "b", "bring back position Quay"},
		{"held", "enter", "go"},
		{"held", "t ? t", "tick, stay"},
		{"held", "enter a", "go, arm"}, // refused by the transport, which says why
		{"held", "o", ""},
		{"lost", "o", "silent"},
		{"ended", "enter", "go"},
		{"running", "? space", "stay, hold"}, // help does not stand in the way
		{"running", "q space backspace", "stay, hold, cut"},
		{"running", "/ j space a enter", "stay, hold"}, // letters of a filter are no taps; holding works
		{"held", "? enter enter", "stay, go"},          // the first closes the list of keys and does nothing unseen
		{"held", "? a a", "stay, arm"},
		{"held", "q enter d b a y", "stay"},
		{"first", "enter a", "arm"},
		{"first", "a", ""}, // the key that takes the first words away does nothing else
		{"first", "space", ""},
		{"first", "left j", "tap"},
		{"first", "backspace a", "arm"},
		{"briefing", "space a", "arm"},
		{"briefing", "a enter", "go"},
		{"running", "/ j tab j", "stay, tap"},
		{"running", "q delete j", "stay"}, // has quit
		{"running", "x y ~ alt+j ctrl+x f1", ""},
		{"running", "u a", "arm"}, // there is no list while it runs, and the transport refuses
		{"cut-places", "a", "re-enter 51.2s run-up 4s"},
		{"cut-places", "enter", ""}, // no key both chooses and starts
		{"cut-places", "up + + - a enter", "re-enter 48.4s run-up 5s, go"},
		{"cut-places", "- - - - - a", "re-enter 51.2s run-up 0s"},
		{"cut-places", "2 backspace 1 : 0 5 . 2 5 a", "re-enter 1m5.25s run-up 4s"},
		{"cut-places", "3 a", "re-enter 3s run-up 3s"}, // no more than there is before it
		{"cut-places", "9 : 0 0 a esc", ""},            // not in the music
		{"cut-places", "1 x esc a", "arm"},
		{"cut-places", "space backspace", "hold, cut"}, // which the transport refuses
		{"seen", "2", "did not go 41"},
		{"seen", "2 2 space", "did not go 41, hold"}, // the lanes are wanted again while it runs
		{"seen", "space backspace left j 5", "hold, cut, EARLIER 0.1 s, tap, did not go  Quay"},
		{"seen", ". 1", "seen or heard 43"},
		{"seen", "up 3", "nobody said 56"},
		{"seen", "esc d", "stand down position Quay"},
		{"search", "y , 2 1 4 esc a", "did not go 61, seen or heard 61, seen or heard  Mole, arm"},
	} {
		s := newScene(t, 80, 24)
		scenes[tt.state](s)
		s.run.Did = nil
		s.press(strings.Fields(tt.keys)...)
		if got := s.run.List(); got != tt.want {
			t.Errorf("%s, keys %q: %q, want %q", tt.state, tt.keys, got, tt.want)
		}
	}
}

// TestStopsAreShown: the screen says why the deck refuses to arm.
func TestStopsAreShown(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	s.run.Snap.Stops = []string{"soundtrack.mp3 has changed"}
	s.look(screentest.Epoch)
	if v := s.View(); !strings.Contains(v, "cannot arm: soundtrack.mp3 has changed") {
		t.Error("the screen does not say why")
	}
}

// TestTooCloseStays: that people stand too close is on the screen in every
// state, decided on or not.
func TestTooCloseStays(t *testing.T) {
	t.Parallel()
	sh, plan := screentest.Demo(t)
	sh.Positions[0].Distance, sh.Positions[2].Distance = 60, 60
	sh.Decided = []show.Decision{{Finding: show.DecideSeparation, Position: "Mole", By: "the operator", Why: "closed"}}
	for name, enter := range scenes {
		for width, want := range map[int]string{80: "TOO CLOSE", 120: "TOO CLOSE at Mole, Jetty"} {
			s := sceneOf(t, sh, plan, width, 36)
			enter(s)
			s.settle(func(h *hand) { h.mode = runMode }) // another lies over the bar while a person reads it
			s.catchUp()
			if v := s.View(); !strings.Contains(v, want) {
				t.Errorf("%s, %d columns wide: the screen does not say so:\n%s", name, width, v)
			}
		}
	}
}

func TestQuitAsksUnlessSafe(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	s.press("q")
	if !s.run.Over {
		t.Error("a safe show did not quit at once")
	}
	s = newScene(t, 80, 24)
	s.runTo(20 * time.Second)
	s.press("q")
	if s.run.Over || !strings.Contains(s.View(), "Quit the rehearsal?") {
		t.Error("a running show quit without asking, or did not ask")
	}
	s.press("n")
	if s.run.Over || strings.Contains(s.View(), "Quit the rehearsal?") {
		t.Error("n did not go back")
	}
	s.press("q", "y")
	if !s.run.Over {
		t.Error("y did not quit")
	}
}

// Who quits is asked while somebody is in the field, by name or for a device, and while
// nobody may go in; a drill that is over, and a show that has waited, is left at once.
func TestQuitAsksWhileSomebodyIsIn(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		enter func(*scene)
		want  string // empty: it is left at once
	}{
		"in":     {func(s *scene) { s.safe(0, nil, "Quay") }, "1 IN THE FIELD: Quay"},
		"waits":  {func(s *scene) { s.cutAt(50 * time.Second); s.safe(time.Minute, nil) }, "NOBODY GOES IN for 14:00"},
		"both":   {func(s *scene) { s.cutAt(50 * time.Second); s.safe(time.Minute, nil, "Quay") }, "1 IN THE FIELD: Quay; NOBODY GOES IN for 14:00"},
		"waited": {func(s *scene) { s.cutAt(50 * time.Second); s.safe(16*time.Minute, nil) }, ""},
		"ended":  {func(s *scene) { s.runTo(200 * time.Second); s.safe(0, nil, "Mole") }, "1 IN THE FIELD: Mole"},
		"over":   {func(s *scene) { s.safe(0, nil, "Quay"); s.run.Snap.Over = true }, ""},
		"device": {func(s *scene) {
			s.fieldOf(demoField(s), time.Minute, board.Deed{At: 20 * time.Second, Act: board.Repair, Device: "M2"})
		}, "1 IN THE FIELD: M2"},
	} {
		s := newScene(t, 80, 24)
		c.enter(s)
		s.press("q")
		if got := s.View(); s.run.Over != (c.want == "") || !strings.Contains(got, c.want) {
			t.Errorf("%s: it was quit: %v; wanted %q in\n%s", name, s.run.Over, c.want, got)
		}
		p := &Spoken{Screen: s.Screen}
		if got := strings.Join(p.quitLines(), ""); !strings.Contains(got, c.want) {
			t.Errorf("%s: it is told as %q, wanted %q", name, got, c.want)
		}
	}
}

// TestPaste: pasted text presses no keys; it goes into the filter while one is
// typed.
func TestPaste(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	s.runTo(20 * time.Second)
	paste := func(text string) { s.Update(s.Arrived(screen.Input{Paste: text}, screentest.Epoch)) }
	if paste("jjj "); s.run.List() != "" || s.filter.Text != "" {
		t.Errorf("pasted text did %q, filter %q", s.run.List(), s.filter.Text)
	}
	s.press("/")
	if paste("co\x1b[2Jmet"); s.filter.Text != "co[2Jmet" {
		t.Errorf("filter %q", s.filter.Text)
	}
}

func TestSuspendHoldsFirst(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	s.runTo(20 * time.Second)
	_, cmd := s.Update(s.Arrived(screen.Input{Key: "ctrl+z"}, screentest.Epoch))
	if got := s.run.List(); got != "hold" {
		t.Errorf("before the program is suspended: %q", got)
	}
	if _, ok := cmd().(tea.SuspendMsg); !ok {
		t.Error("the program was not suspended")
	}
}

func TestMouse(t *testing.T) {
	t.Parallel()
	s := newScene(t, 120, 36)
	s.runTo(41200 * time.Millisecond)
	s.View()
	y := s.lay.tracks.Y + int(s.rows[2])
	s.Update(screen.MouseMsg{X: 3, Y: y})
	if s.lane != 2 || s.run.List() != "" {
		t.Fatalf("lane %d marked, did %q", s.lane, s.run.List())
	}
	s.Update(screen.MouseMsg{X: 3, Y: y})
	if got := s.run.List(); got != "stand down position Jetty" {
		t.Errorf("pressing the marked lane: %q", got)
	}
	for x := range s.raster.cols {
		if i := s.raster.cue[int(s.rows[2])*s.raster.cols+x]; i >= 0 {
			s.Update(screen.MouseMsg{X: s.lay.tracks.X + x, Y: y})
			if s.cursor != int(i) {
				t.Errorf("pressed cue %d, the cursor is on %d", i, s.cursor)
			}
			break
		}
	}
	before := s.window()
	s.Update(screen.MouseMsg{X: s.lay.tracks.X + 5, Y: y, Wheel: 1})
	if after := s.window(); after.from() <= before.from() || s.follow {
		t.Errorf("the wheel scrolled from %v to %v", before, after)
	}
}

// TestResizeKeepsState: whatever sizes come in between, the screen is what it was.
func TestResizeKeepsState(t *testing.T) {
	t.Parallel()
	s := newScene(t, 120, 36)
	scenes["cue"](s)
	want := s.View()
	for _, size := range [][2]int{{20, 5}, {1, 1}, {64, 18}, {300, 100}, {0, 0}, {80, 24}, {120, 36}} {
		s.Update(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
		s.View()
	}
	if got := s.View(); got != want {
		t.Error("the screen changed over the resizes")
	}
}

// TestNothingChangesNothingWritten: while held or safe, looks at the run give
// the same screen to the byte, so the renderer writes nothing.
func TestNothingChangesNothingWritten(t *testing.T) {
	t.Parallel()
	for _, state := range []string{"safe", "armed", "ended"} {
		s := newScene(t, 200, 60)
		scenes[state](s)
		first := s.View()
		s.Update(s.ticks.Now())
		if s.View() != first {
			t.Errorf("%s: the screen changed though nothing had", state)
		}
	}
}

func TestRemapping(t *testing.T) {
	t.Parallel()
	k, err := screen.NewKeymap(Keys, map[string][]string{"hold": {"h"}, "help": {"ctrl+p"}})
	if err != nil {
		t.Fatal(err)
	}
	if b := k.Find("h"); b == nil || b.Act != actHold {
		t.Error("h does not hold")
	}
	if b := k.Find("space"); b != nil {
		t.Errorf("space still does %q", b.Act)
	}
	for name, remap := range map[string]map[string][]string{
		`found "hodl"`:                  {"hodl": {"h"}},
		`found no key for "hold"`:       {"hold": {}},
		`found key "sapce" for "hold"`:  {"hold": {"sapce"}},
		`found key "ctrl+z" for "hold"`: {"hold": {"ctrl+z"}},
		`found key "a" for both`:        {"hold": {"a"}},
	} {
		if _, err := screen.NewKeymap(Keys, remap); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%v: error %v, want %s", remap, err, name)
		}
	}
}

// TestKeyTableInREADME: the README lists the keys and the words as they are; -update
// writes them there.
func TestKeyTableInREADME(t *testing.T) {
	k, err := screen.NewKeymap(Keys, nil)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(screentest.Root, "README.md")
	readme, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	want := string(readme)
	for place, table := range map[string]string{"keys": k.Markdown(), "words": words.OwnTable()} {
		begin, end := "<!-- "+place+" -->\n", "<!-- end "+place+" -->\n"
		head, rest, _ := strings.Cut(want, begin)
		_, tail, ok := strings.Cut(rest, end)
		if !ok {
			t.Fatalf("README.md has no place for the %s", place)
		}
		want = head + begin + table + end + tail
	}
	if screentest.Updating() {
		os.WriteFile(path, []byte(want), 0o644)
	} else if want != string(readme) {
		t.Error("README.md does not list the keys and words as they are: go test ./tui/console -run KeyTable -update")
	}
}

// TestThemes: each theme and colour depth draws the same characters.
func TestThemes(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	scenes["held"](s)
	plain := s.View()
	for _, name := range screen.ThemeNames {
		for _, p := range []termenv.Profile{termenv.TrueColor, termenv.ANSI256, termenv.ANSI, termenv.Ascii} {
			s.Theme = screen.NewTheme(name, p)
			got := s.View()
			if stripped := stripCodes(got); trimLines(stripped) != trimLines(plain) {
				t.Errorf("%s at profile %d draws other characters", name, p)
			}
			if !strings.Contains(got, "\x1b[") {
				t.Errorf("%s at profile %d has no styles at all", name, p)
			}
			if p == termenv.Ascii && strings.Contains(got, "38;") {
				t.Errorf("%s: colours without colour", name)
			}
		}
	}
	s.ASCII = true
	s.Theme = screen.PlainTheme()
	for i, r := range s.View() {
		if r > 126 {
			t.Fatalf("ASCII screen has %q at %d", r, i)
		}
	}
	screentest.Golden(t, "ascii-held-80x24", s.View())
}

func trimLines(s string) string {
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	return strings.Join(lines, "\n")
}

func stripCodes(s string) string {
	var b strings.Builder
	for {
		i := strings.Index(s, "\x1b[")
		if i < 0 {
			return b.String() + s
		}
		b.WriteString(s[:i])
		s = s[i+strings.IndexByte(s[i:], 'm')+1:]
	}
}

// TestWideNames: wide and combining characters keep the columns in line.
func TestWideNames(t *testing.T) {
	t.Parallel()
	sh, plan := bigShow(60)
	for i := range sh.Cues {
		sh.Cues[i].Position = []string{"花火台", "Jetée", "e\u0301te\u0301", "Naïve 花"}[i%4]
		sh.Cues[i].Effect = "赤い牡丹 peony shell with a very long name that must be cut"
	}
	plan = show.NewPlan(sh.Cues, sh.Console, screentest.Rate, plan.Length)
	s := sceneOf(t, sh, plan, 120, 36)
	s.runTo(10 * time.Second)
	screentest.Golden(t, "wide-120x36", s.View())
	for y := range s.canvas.H {
		for x := range s.canvas.W {
			if c := s.canvas.At(x, y); c.Wide && (x == 0 || s.canvas.At(x-1, y).Rune < 0x2e80) {
				t.Errorf("the second half of a wide character at %d,%d has no first half", x, y)
			}
		}
	}
}

// TestLikeAShooter types into a whole program.
func TestLikeAShooter(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	s.turn(firstMode)
	tm := teatest.NewTestModel(t, s.Screen, teatest.WithInitialTermSize(80, 24))
	// x is any key: it closes the first-run screen.
	for _, k := range []string{"x", "a", "enter", "j", "space", "j", "left", "backspace", "q"} {
		tm.Send(s.Arrived(screen.Input{Key: k}, screentest.Epoch))
	}
	tm.WaitFinished(t, teatest.WithFinalTimeout(10*time.Second))
	out, err := io.ReadAll(tm.FinalOutput(t))
	if err != nil || len(out) == 0 {
		t.Fatalf("nothing was drawn: %v", err)
	}
	if got := s.run.List(); got != "arm, go, tap, hold, tap, EARLIER 0.1 s, cut" {
		t.Errorf("did %q", got)
	}
	if !s.run.Over {
		t.Error("the run was not ended")
	}
}

// TestKeysDoNotWait: what a key asks of the run is done as it arrives, and not
// again by the screen, however far the screen is behind: what a key means hangs on
// the keys before it alone.
func TestKeysDoNotWait(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ keys, want string }{
		{"a enter left space enter backspace", "arm, go, EARLIER 0.1 s, hold, go, cut"},
		{"d b", "stand down position Mole, bring back position Mole"},
		{"down d down d up b", "stand down position Quay, stand down position Jetty, bring back position Quay"},
		{"v down d z b", "stand down module B1, bring back module B2"},
		{"/ a d space enter d", "stay, hold, stand down position Mole"}, // letters are text until enter
		{"? enter enter", "stay, go"},
		{"q n a enter", ""}, // q has quit the safe show
	} {
		s := newScene(t, 80, 24)
		var msgs []tea.Msg
		for _, k := range strings.Fields(tt.keys) {
			msgs = append(msgs, s.Arrived(screen.Input{Key: k}, screentest.Epoch))
		}
		if got := s.run.List(); got != tt.want {
			t.Errorf("keys %q did %q, want %q", tt.keys, got, tt.want)
		}
		s.run.Did = nil
		for _, msg := range msgs {
			s.Update(msg)
		}
		if got := s.run.List(); got != "" {
			t.Errorf("keys %q: the screen did %q once more", tt.keys, got)
		}
	}
}

// TestNextDoubt goes through the doubted cues, round and round.
func TestNextDoubt(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	s.press("w") // no review: nothing happens
	if s.cursor != -1 {
		t.Errorf("the cursor went to %d", s.cursor)
	}
	s.marks.Doubts = []int{5, 60, 200}
	for _, want := range []int{5, 60, 200, 5} {
		s.press("w")
		w := s.window()
		if at := s.run.T.EffectAt(want); s.cursor != want || at < w.from() || at >= w.to() {
			t.Errorf("the cursor is on %d, want %d in sight", s.cursor, want)
		}
	}
}

// TestCountIn: a count-in of the deck's shows, and whatever else is wanted of the
// screen meanwhile keeps the hold.
func TestCountIn(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	scenes["held"](s)
	s.run.Snap.ResumesAt = screentest.Epoch.Add(2800 * time.Millisecond)
	for passed, want := range map[time.Duration]string{0: "RESUMES IN 3", 900 * time.Millisecond: "RESUMES IN 2", 2500 * time.Millisecond: "RESUMES IN 1"} {
		if s.look(screentest.Epoch.Add(passed)); !strings.Contains(s.View(), want) {
			t.Errorf("%v into the count the screen does not say %s", passed, want)
		}
	}
	for keys, want := range map[string]string{"": "", "space": "hold", "enter": "go", "backspace": "cut", "?": "stay", "/": "stay", "q": "stay", "ctrl+z": "hold"} {
		s := newScene(t, 80, 24)
		scenes["held"](s)
		s.run.Snap.ResumesAt = screentest.Epoch.Add(2800 * time.Millisecond)
		s.look(screentest.Epoch)
		s.run.Did = nil
		s.press(strings.Fields(keys)...)
		s.Update(s.ticks.Now())
		if got := s.run.List(); got != want {
			t.Errorf("keys %q during the count: %q, want %q", keys, got, want)
		}
	}
}

// stuck is a terminal that takes nothing.
type stuck struct{ until chan struct{} }

func (s stuck) Write(p []byte) (int, error) { <-s.until; return len(p), nil }

// TestRunDoesNotWaitForTheScreen: with a terminal that takes not one byte, a
// run goes from start to end and every cue fires.
func TestRunDoesNotWaitForTheScreen(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	until := make(chan struct{})
	p := tea.NewProgram(s.Screen, tea.WithInput(nil), tea.WithOutput(stuck{until}), tea.WithoutSignalHandler())
	ended := make(chan struct{})
	go func() { p.Run(); close(ended) }()
	d, log := silentDeck(t, s)
	if err := d.Run(t.Context()); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(log.String(), `"kind":"fired"`); n != len(s.Plan.Cues) {
		t.Errorf("%d cues fired of %d", n, len(s.Plan.Cues))
	}
	close(until)
	p.Kill()
	<-ended
}

// TestLogVanishes: a log that had to go on elsewhere is an alarm, once; where it is
// stays in sight. What holds the show comes first.
func TestLogVanishes(t *testing.T) {
	s := newScene(t, 200, 60)
	where, now := "", screentest.Epoch
	s.LogMoved = func() string { return where }
	s.runTo(10 * time.Second)
	where = "/home/robin/\x1b[31msessions/run.jsonl"
	s.look(now)
	if text, style := s.messageText(); style != screen.Alarm || !strings.HasPrefix(text, "THE SESSION LOG VANISHED") || !strings.HasSuffix(text, "/home/robin/[31msessions/run.jsonl") {
		t.Errorf("%q in style %v", text, style)
	}
	if !strings.Contains(s.View(), "VANISHED, goes on in") {
		t.Error("the facts do not tell of it")
	}
	s.run.Snap.Message = deck.Message{Urgency: deck.Alarm, Text: "HELD: wind", At: now}
	s.look(now)
	if text, _ := s.messageText(); text != "HELD: wind" {
		t.Errorf("found %q", text)
	}
	s.run.Snap.Message = deck.Message{}
	now = now.Add(time.Hour)
	s.look(now)
	if text, style := s.messageText(); style != screen.Caution || !strings.Contains(text, "the session is in /home") {
		t.Errorf("%q in style %v", text, style)
	}
}

// TestManyLanes: a log or a list of more lanes than 16 bits can count is drawn.
func TestManyLanes(t *testing.T) {
	sh, plan := manyPositions(40_000)
	s := sceneOf(t, sh, plan, 80, 24)
	s.runTo(28*time.Minute + 30*time.Second)
	for range 3 {
		set := s.lanes()
		for i, l := range set.of {
			if want := sh.Cues[plan.Cues[i].List]; set.by == show.LanesByPosition && set.names[l] != want.Position || set.by == show.LanesByModule && set.names[l] != want.Module {
				t.Fatalf("cue %s is in the lane %s", want.ID, set.names[l])
			}
		}
		if view := s.View(); !strings.Contains(view, "RUNNING") {
			t.Error("no screen is drawn")
		}
		s.press("v")
	}
}

// TestAfterTheDrill: the foot says which key shows the debrief, and nothing arms.
func TestAfterTheDrill(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	s.run.Snap.Over = true
	s.look(screentest.Epoch)
	lines := strings.Split(s.View(), "\n")
	if foot := lines[len(lines)-1]; !strings.HasPrefix(foot, " q debrief and score") || strings.Contains(foot, "ARM") {
		t.Errorf("the foot is %q", foot)
	}
}

// TestNobodyEntersWhileHeld: the hold panel says so in every window, whatever the
// list says of the sky, and the sky is never told to be clear.
func TestNobodyEntersWhileHeld(t *testing.T) {
	t.Parallel()
	for _, size := range screentest.Sizes {
		for _, after := range []time.Duration{0, 30 * time.Second} {
			s := newScene(t, size[0], size[1])
			scenes["held"](s)
			s.run.Snap.Since = screentest.Epoch.Add(-after)
			s.look(screentest.Epoch)
			v := s.View()
			if !strings.Contains(v, "HELD IS NOT SAFE TO ENTER") || strings.Contains(v, "sky is clear") {
				t.Errorf("%s, after %v:\n%s", s.size(), after, v)
			}
			if told := strings.Contains(v, "LIST: nothing up; ask the spotter"); told != (after > 0) {
				t.Errorf("%s, after %v: nothing up: %t", s.size(), after, told)
			}
		}
	}
}

// TestUnknownBurnKeepsTheSkyOpen: after a cue without a burn time the console never
// says that nothing is up.
func TestUnknownBurnKeepsTheSkyOpen(t *testing.T) {
	t.Parallel()
	sh, _ := screentest.Demo(t)
	sh.Cues[0].Burn = 0
	s := sceneOf(t, sh, show.NewPlan(sh.Cues, sh.Console, screentest.Rate, timebase.FrameAt(135*time.Second, screentest.Rate)), 80, 24)
	s.runTo(6600 * time.Millisecond)
	if v := s.View(); !strings.Contains(v, "LIST: 1 unknown; ask the spotter") {
		t.Error(v)
	}
	s.do(show.Hold, 6600*time.Millisecond, show.Command{})
	if v := s.View(); !strings.Contains(v, "LIST: 1 unknown; ask the spotter") || s.headline().text != "NOT CLEAR" {
		t.Error(v)
	}
}

// TestNotClearIsWhole: a hold panel says both what is up and what is unknown.
func TestNotClearIsWhole(t *testing.T) {
	t.Parallel()
	sh, _ := screentest.Demo(t)
	for i := range 12 {
		sh.Cues[i].Burn = 0
	}
	s := sceneOf(t, sh, show.NewPlan(sh.Cues, sh.Console, screentest.Rate, timebase.FrameAt(135*time.Second, screentest.Rate)), 120, 36)
	s.runTo(41 * time.Second)
	s.do(show.Hold, 41*time.Second, show.Command{})
	_, panel, ok := strings.Cut(s.View(), "NOT CLEAR: ")
	if line, _, _ := strings.Cut(panel, "\n"); !ok || strings.Contains(line, "…") {
		t.Error(s.View())
	}
}

// TestResumeAsksOnceMore: what a resume leaves open, and the key that resumes all the
// same, are whole in every window for as long as it is so.
func TestResumeAsksOnceMore(t *testing.T) {
	t.Parallel()
	for _, size := range screentest.Sizes {
		s := newScene(t, size[0], size[1])
		scenes["held"](s)
		s.run.Snap.Again = deck.Again{Action: show.Resume, Why: "5 still up, 1 unknown, 3 lines unticked", Until: screentest.Epoch.Add(time.Second)}
		s.look(screentest.Epoch)
		const asks = "5 still up, 1 unknown, 3 lines unticked: enter again resumes all the same"
		if v := s.View(); !strings.Contains(v, asks) {
			t.Errorf("%s:\n%s", s.size(), v)
		}
		s.look(screentest.Epoch.Add(time.Second))
		if strings.Contains(s.View(), asks) {
			t.Errorf("%s: it still asks", s.size())
		}
	}
}

// TestCallsDoNotFollow: in every window the console says where a track's calls are
// off by a nudge while it runs, and before a resume that it lands inside a count and
// why nothing earlier is offered.
func TestCallsDoNotFollow(t *testing.T) {
	t.Parallel()
	sh, plan := screentest.Demo(t)
	sh.Tracks = []show.Track{{File: "beacon.wav", Left: "music", Right: "calls Beacon"}}
	for _, size := range screentest.Sizes {
		s := sceneOf(t, sh, plan, size[0], size[1])
		scenes["held"](s) // cue 98 is Beacon's, and 0.7 s away
		v := s.View()
		if !strings.Contains(v, "resumes inside the count for cue 98") || !strings.Contains(v, "cannot start earlier than it stopped") {
			t.Errorf("%s, held:\n%s", s.size(), v)
		}
		s = sceneOf(t, sh, plan, size[0], size[1])
		s.runTo(30 * time.Second)
		s.do(show.Nudge, 30*time.Second, show.Command{Step: -2 * time.Second})
		if v := s.View(); !strings.Contains(v, "CALLS ARE 2.0 s EARLY AT Beacon") {
			t.Errorf("%s, running:\n%s", s.size(), v)
		}
	}
}

// TestFollowsBehindTheEnd: where the music is behind the end of the show nothing is offered
// that would go on there.
func TestFollowsBehindTheEnd(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]string{
		"follows-armed":     "music at 60:11.0, the show ends at 2:15.0: backspace makes it safe",
		"follows-elsewhere": "music at 60:11.0, the show ends at 2:15.0: backspace cuts",
	} {
		for _, size := range screentest.Sizes {
			s := newScene(t, size[0], size[1])
			scenes[name](s)
			s.run.Snap.Follow.Late, s.run.Snap.Follow.Place = true, 3611*screentest.Rate
			s.look(screentest.Epoch)
			lines := strings.Split(s.View(), "\n")
			if v := lines[s.lay.message.Y]; !strings.Contains(v, want) {
				t.Errorf("%s, %s: %q", name, s.size(), v)
			}
			if v := lines[s.lay.keys.Y]; strings.Contains(v, "START") || strings.Contains(v, "RESUME") || !strings.Contains(v, "backspace") {
				t.Errorf("%s, %s: %q", name, s.size(), v)
			}
			s.do(show.Cut, s.run.Snap.Transport.Heard().At(screentest.Rate), show.Command{})
			if v := strings.Split(s.View(), "\n")[s.lay.keys.Y]; !strings.Contains(v, "ARM") {
				t.Errorf("%s, %s, safe: %q", name, s.size(), v)
			}
		}
	}
}

// TestFollowsIsWhole: what the console says of a run that follows ends in its last word
// in every window.
func TestFollowsIsWhole(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"follows", "follows-armed", "follows-held", "follows-elsewhere", "follows-music", "follows-music-unsure", "follows-music-held", "follows-music-elsewhere"} {
		for _, size := range screentest.Sizes {
			s := newScene(t, size[0], size[1])
			scenes[name](s)
			lines := strings.Split(s.View(), "\n")
			whole := []string{lines[s.lay.message.Y]}
			for _, line := range lines {
				if _, code, ok := strings.Cut(line, "FOLLOWS "); ok {
					whole = append(whole, code)
				}
			}
			if len(whole) != 2 || strings.Contains(strings.Join(whole, ""), "…") {
				t.Errorf("%s, %s: %q", name, s.size(), whole)
			}
		}
	}
}
