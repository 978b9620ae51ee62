package console

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/timebase"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"
)

// newSpoken is a console as lines over the demo show, and the scene that it tells.
func newSpoken(t testing.TB) (*Spoken, *scene) {
	t.Helper()
	s := newScene(t, 200, 60)
	p := NewSpoken(s.Setup)
	p.places.spawn = func(f func()) { f() }
	p.Now = func() time.Time { return screentest.Epoch }
	return p, &scene{p.Screen, s.run}
}

// hear presses keys and returns what is said to them.
func (p *Spoken) hear(keys ...string) (lines []string) {
	for _, k := range keys {
		more, _ := p.Hear(p.Arrived(screen.Input{Key: k}, screentest.Epoch))
		lines = append(lines, more...)
	}
	return lines
}

// tell returns what is said at the next look.
func (p *Spoken) tell() []string {
	lines, _ := p.Look()
	return lines
}

// TestSpokenScenes: what is said on the way from a safe show to each scene.
func TestSpokenScenes(t *testing.T) {
	t.Parallel()
	var names []string
	for name := range scenes {
		names = append(names, name)
	}
	slices.Sort(names)
	var b strings.Builder
	for _, name := range names {
		p, s := newSpoken(t)
		p.tell()
		scenes[name](s)
		lines := p.tell()
		fmt.Fprintf(&b, "%s\n", name)
		for _, l := range append(lines, p.hear("n")...) {
			fmt.Fprintf(&b, "  %s\n", l)
		}
	}
	screentest.Golden(t, "spoken", strings.TrimSuffix(b.String(), "\n"))
}

// TestSpokenChange: which lines a change needs.
func TestSpokenChange(t *testing.T) {
	t.Parallel()
	base := facts{now: screentest.Epoch, since: screentest.Epoch.Add(-time.Minute), heard: 76200 * time.Millisecond, hint: "HINT",
		checklist: []string{"nobody in", "spotter sees nothing", "cause gone"}, keep: "space", goOn: "enter", sky: "LIST: nothing up; ask the spotter",
		resumes: "Resumes at 1:16.200, cue 98 first."}
	held := func(f *facts) { f.state, f.since = show.Held, screentest.Epoch }
	running := func(f *facts) { f.state = show.Running }
	both := func(list ...func(*facts)) func(*facts) {
		return func(f *facts) {
			for _, change := range list {
				change(f)
			}
		}
	}
	for _, tt := range []struct {
		name    string
		was, is func(*facts)
		want    string
	}{
		{"nothing", running, running, ""},
		{"armed", func(*facts) {}, func(f *facts) { f.state = show.Armed }, "ARMED. HINT"},
		{"start", func(f *facts) { f.state = show.Armed }, both(running, func(f *facts) { f.heard = 0 }), "RUNNING from 0:00.0"},
		{"hold by key", running, both(held, func(f *facts) { f.checklist = nil }),
			"HELD at 1:16.2. Ticks open: 0.|HELD IS NOT SAFE TO ENTER|LIST: nothing up; ask the spotter|Resumes at 1:16.200, cue 98 first."},
		{"hold by the field", running, both(held, func(f *facts) {
			f.message, f.up, f.sky, f.due = deck.Message{Text: "HELD: person in the fallout area"}, true, "5 still up for 3.1 s", "cues 98 to 101 were due: treat as live"
		}), "HELD at 1:16.2: person in the fallout area. Ticks open: 3.|HELD IS NOT SAFE TO ENTER|NOT CLEAR: 5 still up for 3.1 s|cues 98 to 101 were due: treat as live|Resumes at 1:16.200, cue 98 first.|To tick: nobody in"},
		{"nothing up any more", both(held, func(f *facts) { f.up = true }), held, "LIST: nothing up; ask the spotter"},
		{"nothing up while it runs", both(running, func(f *facts) { f.up = true }), running, ""},
		{"a tick", held, both(held, func(f *facts) { f.ticked = 1 }), "Ticked: nobody in. Open: 2. Next: spotter sees nothing"},
		{"the last tick", both(held, func(f *facts) { f.ticked = 2 }), both(held, func(f *facts) { f.ticked = 3 }), "Ticked: cause gone. Open: 0."},
		{"a count", held, both(held, func(f *facts) { f.counts = 3 }), "RESUMES IN 3. space keeps the hold, enter resumes now."},
		{"a count goes on", both(held, func(f *facts) { f.counts = 3 }), both(held, func(f *facts) { f.counts = 2 }), ""},
		{"a count broken off", both(held, func(f *facts) { f.counts = 2 }), held, "STILL HELD: the count is off"},
		{"a count that is over", both(held, func(f *facts) { f.counts = 1 }), held, ""},
		{"asked twice", held, both(held, func(f *facts) {
			f.again, f.until = "3 lines unticked: enter again resumes all the same", screentest.Epoch.Add(time.Second)
			f.message = deck.Message{Text: "cannot resume yet"}
		}), "NOT DONE YET. 3 lines unticked: enter again resumes all the same"},
		{"cut", running, func(f *facts) {
			f.up, f.sky, f.due = true, "2 still up for 1.0 s", "cue 98 was due: treat as live"
			f.message.Text = f.due
		},
			"CUT at 1:16.2. Nobody goes in before it is confirmed safe.|NOT CLEAR: 2 still up for 1.0 s|cue 98 was due: treat as live"},
		{"never started", func(f *facts) { f.state = show.Armed }, func(*facts) {}, "SAFE: it was not started"},
		{"made safe again", func(f *facts) { f.state = show.Ended }, func(*facts) {}, "SAFE. HINT"},
		{"the end", running, func(f *facts) { f.state = show.Ended }, "ENDED at 1:16.2. HINT|LIST: nothing up; ask the spotter"},
		{"an order", running, both(running, func(f *facts) { f.radio = []deck.RadioCall{{From: "spotter", Text: "hold, hold, hold"}} }), "HOLD by radio. spotter: hold, hold, hold"},
		{"an order that was followed", held, both(held, func(f *facts) { f.radio = []deck.RadioCall{{From: "spotter", Text: "hold"}} }), "RADIO. spotter: hold"},
		{"a bang in the hold", held, both(held, func(f *facts) { f.bangs = []string{"Mole"} }), "BANG at Mole"},
		{"a message", running, both(running, func(f *facts) { f.message = deck.Message{Text: "called: cues are late"} }), "called: cues are late"},
		{"a call", running, both(running, func(f *facts) { f.calls = []string{"STAND BY Beacon: cue 14 in 7 s"} }), "STAND BY Beacon: cue 14 in 7 s"},
		{"sound lost", running, both(held, func(f *facts) { f.standing[slotLost] = "NO SOUND. enter tries" }),
			"HELD at 1:16.2. Ticks open: 3.|HELD IS NOT SAFE TO ENTER|LIST: nothing up; ask the spotter|Resumes at 1:16.200, cue 98 first.|To tick: nobody in|NO SOUND. enter tries"},
	} {
		was, is := base, base
		tt.was(&was)
		tt.is(&is)
		before, _ := told{}.next(was)
		now, lines := before.next(is)
		if got := strings.Join(slices.DeleteFunc(lines, func(s string) bool { return s == "" }), "|"); got != tt.want {
			t.Errorf("%s:\n got %s\nwant %s", tt.name, got, tt.want)
		}
		is.calls = nil // those of a look
		if _, again := now.next(is); len(again) > 0 {
			t.Errorf("%s is said twice: %q", tt.name, again)
		}
	}
}

// TestSpokenNudge: a key held down is said once, when it rests.
func TestSpokenNudge(t *testing.T) {
	t.Parallel()
	f := facts{now: screentest.Epoch, state: show.Running}
	said, _ := told{}.next(f)
	var lines []string
	for i := range 40 {
		f.now = f.now.Add(33 * time.Millisecond)
		if i < 10 {
			f.nudge += 100 * time.Millisecond
		}
		var more []string
		said, more = said.next(f)
		lines = append(lines, more...)
	}
	if got := strings.Join(lines, "|"); got != "EARLIER 1.0 s" {
		t.Errorf("said %q of ten nudges in a row, want EARLIER 1.0 s", got)
	}
}

// TestSpokenStanding: what stands is said once, and what flickers every few seconds
// at most.
func TestSpokenStanding(t *testing.T) {
	t.Parallel()
	f := facts{now: screentest.Epoch, state: show.Running}
	said, _ := told{}.next(f)
	var lines []string
	for i := range 600 { // 20 s
		f.now = f.now.Add(time.Second / 30)
		f.standing[slotTaps] = fmt.Sprint("Taps: ", i)
		f.standing[slotClose] = "TOO CLOSE"
		var more []string
		said, more = said.next(f)
		lines = append(lines, more...)
	}
	if n := len(lines); n < 4 || n > 6 || lines[0] != "TOO CLOSE" {
		t.Errorf("said %d lines in 20 s: %q", n, lines)
	}
}

// TestSpokenFiguresRunOn: a line in which only a time runs on is not said again.
func TestSpokenFiguresRunOn(t *testing.T) {
	t.Parallel()
	f := facts{now: screentest.Epoch}
	said, _ := told{}.next(f)
	var lines []string
	for i := range 30 {
		f.now = f.now.Add(time.Second)
		f.standing[slotStops] = fmt.Sprintf("cannot arm: somebody is in the field at M2, back in %d:%02d", 7-i/20, 59-i)
		var more []string
		said, more = said.next(f)
		lines = append(lines, more...)
	}
	if len(lines) != 1 {
		t.Errorf("said %q", lines)
	}
}

// TestSpokenStopsOnce: several things that forbid arming are told whole once; each press
// after that names the first, and the key that tells all of them again.
func TestSpokenStopsOnce(t *testing.T) {
	t.Parallel()
	p, s := newSpoken(t)
	s.run.Snap.Stops = []string{"stop: module M1 is in two shows", "stop: module M2 is in two shows", "cue 7 is at no position"}
	whole := deck.CannotArm(s.run.Snap.Stops)
	if got := strings.Join(p.tell(), "\n"); strings.Count(got, whole) != 1 {
		t.Errorf("at first it says %q", got)
	}
	for i := range 2 {
		s.run.Snap.Message = deck.Message{Urgency: deck.Alarm, Text: whole, At: screentest.Epoch.Add(time.Duration(i+1) * time.Second)}
		if got := strings.Join(p.tell(), "\n"); got != "cannot arm: stop: module M1 is in two shows; and 2 more: 0 tells all" {
			t.Errorf("press %d: it says %q", i+1, got)
		}
	}
	if got := strings.Join(p.hear("0"), "\n"); strings.Count(got, whole) != 1 {
		t.Errorf("all of them: %q", got)
	}
	s.run.Snap.Stops = s.run.Snap.Stops[1:] // what is new is told whole
	whole = deck.CannotArm(s.run.Snap.Stops)
	s.run.Snap.Message = deck.Message{Urgency: deck.Alarm, Text: whole, At: screentest.Epoch.Add(9 * time.Second)}
	if got := strings.Join(p.tell(), "\n"); got != whole {
		t.Errorf("another list: %q", got)
	}
}

// TestSpokenRunIsQuiet: a show that nothing happens in is told by its state and the
// calls alone.
func TestSpokenRunIsQuiet(t *testing.T) {
	t.Parallel()
	p, s := newSpoken(t)
	p.tell()
	var lines []string
	s.runTo(0)
	for at := time.Duration(0); at < 134*time.Second; at += 100 * time.Millisecond {
		s.run.T.Advance(timebase.FrameAt(at, screentest.Rate), nil)
		lines = append(lines, p.tell()...)
	}
	if n := len(lines); n < 5 || n > 40 || lines[0] != "RUNNING from 0:00.0" {
		t.Fatalf("said %d lines, the first of them %q", n, lines[:min(3, n)])
	}
	for _, l := range lines[1:] {
		if !strings.HasPrefix(l, "STAND BY Beacon: cue") {
			t.Fatalf("said %q while nothing happened", l)
		}
	}
}

// TestSpokenKeysAreTheConsoles: every key asks the run for the same as where there is a
// picture, in every state and over everything that takes keys.
func TestSpokenKeysAreTheConsoles(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"safe", "armed", "running", "held", "ended", "first", "briefing", "quit", "cut-places", "seen", "search"} {
		drawn := newScene(t, 80, 24)
		scenes[name](drawn)
		p, spoken := newSpoken(t)
		scenes[name](spoken)
		was := drawn.hand
		again := func(h *hand) { *h = was }
		for _, b := range Keys {
			if b.Act == screen.ActHelp {
				continue // which takes no keys here
			}
			for _, key := range b.Keys {
				drawn.settle(again)
				spoken.settle(again)
				drawn.run.Did, spoken.run.Did = nil, nil
				drawn.press(key, "enter")
				p.hear(key, "enter")
				if got, want := spoken.run.List(), drawn.run.List(); got != want || spoken.run.Over != drawn.run.Over {
					t.Errorf("%s, %s: asks for %q, the picture for %q", name, key, got, want)
				}
			}
		}
	}
}

// TestSpokenAnswers: what is said to keys that ask for something to be told.
func TestSpokenAnswers(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ scene, keys, want string }{
		{"running", "n", "In 0.3 s: cue 58, Slip, gold comet with glitter"},
		{"ended", "n", "NO MORE CUES"},
		{"running", "h", "h does nothing. question mark tells the keys."},
		{"running", "q", "QUIT? The show is RUNNING. y or delete quits, n or esc goes back, space holds, backspace cuts."},
		{"running", "q n", "Not quit"},
		{"running", "/", "FIND cues: type letters. enter or tab ends, esc drops it, space holds."},
		{"running", "/ b r o c enter", "0:46.8: cue 61, Mole, brocade crown shell"},
		{"running", "down", "Quay, by position"},
		{"down", "up down", "Quay is STOOD DOWN"},
		{"running", "tab tab", "Taps: no taps yet"},
		{"running", ".", "cue 59: fires in"},
		{"running", "+", "No picture: nothing in line mode"},
		{"running", "?", "space: HOLD"},
		{"held", "?", "enter: RESUME"},
		{"running", "? ?", "m: nothing in line mode"},
		{"running", "n pgup", "In 0.3 s: cue 58"},
		{"safe", "s", "Not in line mode"},
		{"safe", "g", "No field board, and nobody to ask"},
		{"briefing", "i", "SAFE. Harbour Evening, 2:15, 219 cues."},
		{"briefing", "enter i", "DRILL"},
		{"cut", "n", "CUT before cue 70. a arms from the top, u from a place."},
		{"cut", "x", "SEARCH. 150 still loaded: treat as live, 69 commanded, 69 nobody said"},
		{"cut", "u esc", "No place is armed"},
		{"cut", "u x", ""},
		{"search", "x", "\nMole: "},
		{"safe", "x", "No search: after a run"},
		{"running", "u", "No places: after a cut"},
		{"cut-places", "up", "From 0:48.400, the music changes: first cue in 6.4 s. 150 cues to fire"},
		{"cut-places", "+", "Run-up 5 s"},
		{"cut-places", "- - - - -", "Run-up 0 s"},
		{"cut-places", "1 :", "By hand 1:"},
		{"cut-places", "9 : 0 0 a", "NOT ARMED. NO SUCH PLACE in the music: type m:ss.mmm"},
		{"cut-places", "enter", "1 stays loaded, treat as live: 70"},
		{"seen", ".", "Cue 43, Quay: nobody said. "},
		{"seen", "up", "Cue 56, Mole: nobody said. "},
		{"seen", "tab tab", "2: did not go"},
		{"seen", "tab tab tab tab", "4: seen or heard, of all at Quay so far"},
		{"seen", "enter", "No answer is marked: tab marks one"},
		{"search", "y", "A digit says it, or tab marks an answer, enter says it. comma and full stop: another cue. up and down: another lane. esc goes back."},
		{"first", "enter", "SAFE. Harbour Evening, 2:15, 219 cues."},
	} {
		p, s := newSpoken(t)
		scenes[tt.scene](s)
		p.tell()
		if got := strings.Join(p.hear(strings.Fields(tt.keys)...), "\n"); !strings.Contains(got, tt.want) {
			t.Errorf("%s, %s: said %q, want %q in it", tt.scene, tt.keys, got, tt.want)
		}
	}
}

// TestSpokenBoard: the field board is told device by device, by its figures.
func TestSpokenBoard(t *testing.T) {
	t.Parallel()
	drawn := newScene(t, 120, 36)
	drawn.fieldOf(demoField(drawn), 42*time.Second)
	p := NewSpoken(drawn.Setup)
	if got := strings.Join(p.tell(), "\n"); !strings.Contains(got, "FIELD BOARD. ") {
		t.Errorf("it begins with %q", got)
	}
	line := strings.Join(p.hear("down"), "\n")
	for _, want := range []string{"position ", "heard ", "charge ", "pins or file "} {
		if !strings.Contains(line, want) {
			t.Errorf("a device is told as %q, without %q", line, want)
		}
	}
	if got := strings.Join(p.hear("enter"), "\n"); !strings.HasPrefix(got, "WHAT IS WRONG with ") || !strings.Contains(got, "\n1: ") {
		t.Errorf("enter on a device says %q", got)
	}
}

// TestSpokenPlaces: the list is told once it has been worked out, a place that is moved by
// hand once it rests, and what a start would tear in two before anything else.
func TestSpokenPlaces(t *testing.T) {
	t.Parallel()
	p, s := newSpoken(t)
	now := screentest.Epoch
	p.Now = func() time.Time { return now }
	var work []func()
	p.places.spawn = func(f func()) { work = append(work, f) }
	rest := func() string {
		for range 3 {
			now = now.Add(200 * time.Millisecond)
			for _, f := range work {
				f()
			}
			work = nil
			p.look(now)
		}
		return strings.Join(p.tell(), "\n")
	}
	s.cutAt(50 * time.Second)
	p.tell()
	if got := strings.Join(p.hear("u"), "\n"); got != "START AGAIN FROM WHERE? It is being worked out." {
		t.Errorf("without a list: %q", got)
	}
	if got := rest(); !strings.HasPrefix(got, "START AGAIN FROM WHERE? 1 place\nFrom 0:00.000, the beginning: first cue in 50.8 s.") {
		t.Errorf("with the list: %q", got)
	}
	for _, tt := range []struct{ keys, at, rests string }{
		{"shift+right shift+right right", "", "From 0:02.100, by hand: "},
		{"0 : 5", "By hand 0:5", "NO SUCH PLACE in the music"},
		{"backspace 5 9 . 4", "By hand 0:59.4", "STARTS INSIDE the count for cue 98. From 0:59.400, by hand: first cue in 2.0 s."},
		{"+", "Run-up 5 s", ""},
		{"down", "From 0:00.000, the beginning", ""},
		{"a", "", ""},
	} {
		if tt.keys == "0 : 5" { // the time by hand so far is taken back
			p.hear(strings.Fields(strings.Repeat("backspace ", len("0:02.100")))...)
		}
		got := strings.Join(p.hear(strings.Fields(tt.keys)...), "\n")
		if i := strings.LastIndex(got, "\n"); !strings.HasPrefix(got[i+1:], tt.at) || tt.at == "" && got != "" {
			t.Errorf("%s: at once %q, want %q", tt.keys, got, tt.at)
		}
		if got := rest(); !strings.HasPrefix(got, tt.rests) {
			t.Errorf("%s: then %q, want %q", tt.keys, got, tt.rests)
		}
		if got := rest(); got != "" {
			t.Errorf("%s: %q is said again", tt.keys, got)
		}
	}
	if got := s.run.List(); got != "re-enter 0s run-up 0s" {
		t.Errorf("asked for %s", got)
	}
}

// TestSpokenSeen: what is said of a cue is confirmed by the run, and by nothing before it.
func TestSpokenSeen(t *testing.T) {
	t.Parallel()
	p, s := newSpoken(t)
	s.cutAt(50 * time.Second)
	p.tell()
	lines := p.hear("y")
	if len(lines) != 9 || lines[0] != "WHAT WAS SEEN OR HEARD?" || lines[3] != "1: seen or heard" || lines[8] != "6: nobody said, of all at Mole so far" {
		t.Errorf("asked as %q", lines)
	}
	if got := p.hear("2"); len(got) > 0 {
		t.Errorf("before the run has it: %q", got)
	}
	s.run.Snap.Message = deck.Message{Text: "cue 68: did not go", At: screentest.Epoch}
	if got := strings.Join(p.tell(), "\n"); got != "cue 68: did not go" {
		t.Errorf("confirmed as %q", got)
	}
}

// TestSpokenReady: the go / no-go list is told line by line, and what is asked for a
// reason or a name can be answered without digits.
func TestSpokenReady(t *testing.T) {
	t.Parallel()
	p, s := newSpoken(t)
	p.tell()
	s.asks(goes("Radio check", "Field")...)
	if got := strings.Join(p.tell(), "\n"); !strings.Contains(got, "GO OR NO-GO: ") || !strings.Contains(got, "Next: Spotter") {
		t.Errorf("the list is told as %q", got)
	}
	for _, tt := range []struct{ keys, want string }{
		{"down", "Audience line, "},
		{"n", "WHY IS Audience line no-go? A digit says it, or up, down and enter; any other key goes back."},
		{"down", "0: no answer, it is withdrawn"},
		{"down", "1: not ready"},
	} {
		if got := strings.Join(p.hear(strings.Fields(tt.keys)...), "\n"); !strings.HasPrefix(got, tt.want) {
			t.Errorf("%s: %q, want %q", tt.keys, got, tt.want)
		}
	}
	if p.hear("enter"); s.run.List() != `no-go "Audience line" not ready` {
		t.Errorf("asked for %s", s.run.List())
	}
}

// TestSpokenMadeSafe: how long nobody goes in, who is in, and that all are back.
func TestSpokenMadeSafe(t *testing.T) {
	t.Parallel()
	p, s := newSpoken(t)
	p.tell()
	s.safe(142*time.Second, map[string]time.Duration{"Quay": 40 * time.Second}, "Quay")
	if got := strings.Join(p.tell(), "\n"); !strings.Contains(got, "WAIT: nobody goes in for 12:38\nIN THE FIELD: Quay") {
		t.Errorf("made safe is told as %q", got)
	}
	if got := strings.Join(p.hear("c"), "\n"); !strings.Contains(got, "2: Quay is back") {
		t.Errorf("who goes in is asked as %q", got)
	}
	p.hear("esc")
	s.safe(142*time.Second, nil)
	p.Now = func() time.Time { return screentest.Epoch.Add(6 * time.Second) }
	if got := strings.Join(p.tell(), "\n"); !strings.Contains(got, "ALL WHO WERE NAMED ARE BACK") {
		t.Errorf("who is back is told as %q", got)
	}
}

// TestSpokenIsText: no line holds anything but text, whatever comes from the field.
func TestSpokenIsText(t *testing.T) {
	t.Parallel()
	for name, set := range scenes {
		p, s := newSpoken(t)
		lines := p.tell()
		set(s)
		s.run.Snap.Radio = append(s.run.Snap.Radio, deck.RadioCall{At: screentest.Epoch, From: "spotter", Text: "\x1b[2Jhold\r\n\u202eevil"})
		lines = append(lines, p.tell()...)
		lines = append(lines, p.hear("?", "?", "n", "tab")...)
		for _, l := range lines {
			if strings.ContainsFunc(l, func(r rune) bool { return !unicode.IsPrint(r) || r >= 0x2190 && r < 0x2c00 }) {
				t.Errorf("%s: %q is no plain text", name, l)
			}
		}
	}
}
