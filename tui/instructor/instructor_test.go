package instructor

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	link "drylane/playback/crew"
	"drylane/show"
	"drylane/show/crew"
	"drylane/show/crewclock"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/show/timebase"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"
	"pgregory.net/rapid"
)

// A fakeLink is a way to a run that the test makes up.
type fakeLink struct {
	view  link.View
	asked []asked
	holds int
}

// An asked is something that was asked of the run.
type asked struct {
	what crew.Deed
	link.Deed
}

func (f *fakeLink) View() link.View                { return f.view }
func (f *fakeLink) Hold(string)                    { f.holds++ }
func (f *fakeLink) Do(what crew.Deed, d link.Deed) { f.asked = append(f.asked, asked{what, d}) }

// A scene is an instructor's screen at some moment of a made-up run.
type scene struct {
	*Screen
	t    *testing.T
	link *fakeLink
}

// base is what is known of the made-up run before it tells how it stands.
func base() link.View {
	return link.View{
		Welcome: link.Welcome{Version: link.Version, Title: "Harbour Evening", Drill: "a drill", Name: "Tom", Role: "trainer", Rate: screentest.Rate,
			Length: 135 * time.Second, Cues: 236},
		Planned: link.Planned{Drill: "Two things at once", Positions: []string{"Mole", "Quay", "Jetty", "Slip", "Barge", "Beacon"},
			Planted: []string{"Slip 0.30 s late"},
			Steps: []link.PlannedStep{
				{Step: "person", At: 40 * time.Second, Do: drill.Radio, What: "Quay: Person in the fallout area, they walk along the water. Hold.", Wants: drill.WantHold},
				{Step: "out", At: 8 * time.Second, After: "hold", Do: drill.Radio, What: "Quay: The person is out, the area is clear.", Wants: drill.WantResume},
				{Step: "quiet", At: 42 * time.Second, Do: drill.MusicOff, What: "music off", Wants: drill.WantHold},
				{Step: "loud", At: 75500 * time.Millisecond, Do: drill.MusicOn, What: "music on"},
			}}}
}

func newScene(t *testing.T, w, h int) *scene {
	s := &scene{t: t, link: &fakeLink{view: base()}}
	s.Screen = New(Setup{Link: s.link, Look: screen.Look{Theme: screen.PlainTheme(), Themes: func(n string) *screen.Theme { return screen.NewTheme(n, termenv.TrueColor) }}, Now: func() time.Time { return screentest.Epoch }})
	s.Update(tea.WindowSizeMsg{Width: w, Height: h})
	return s
}

// sees takes a view, as of a moment before now.
func (s *scene) sees(v link.View, age time.Duration) {
	b := base()
	v.Welcome, v.Planned = b.Welcome, b.Planned
	v.Came, v.Silent, v.Age, v.News = true, age, age, s.link.view.News+1
	v.Clock, v.Clocked = crewclock.Reading{At: age}, true
	s.link.view = v
	s.look(screentest.Epoch)
}

// press presses keys.
func (s *scene) press(keys ...string) (quit bool) {
	for _, k := range keys {
		if _, cmd := s.Update(s.Arrived(screen.Input{Key: k}, screentest.Epoch)); cmd != nil {
			if _, ok := cmd().(tea.QuitMsg); ok {
				return true
			}
		}
	}
	return false
}

// event is one at a moment of the music.
func event(n int, at time.Duration, kind string, d session.Data) session.Entry {
	return session.Entry{N: int64(n), Wall: screentest.Epoch.Add(at - 50*time.Second), Heard: at.Milliseconds() * screentest.Rate / 1000, Kind: kind, Data: d}
}

func late(ms int64) *int64 { return &ms }

// drillEvents are a run so far.
func drillEvents() []session.Entry {
	byHand := func(e session.Entry) session.Entry {
		e.By = show.ByInstructor
		return e
	}
	sec := func(s float64) time.Duration { return time.Duration(math.Round(s*1000)) * time.Millisecond }
	return []session.Entry{
		event(1, 0, "armed", session.Data{}),
		event(2, 0, "started", session.Data{}),
		event(9, sec(18.32), "tap", session.Data{Cue: "21", LateMS: late(312)}),
		event(11, sec(19.9), "tap", session.Data{Cue: "24", LateMS: late(287)}),
		event(12, sec(20.4), "call", session.Data{Call: "late"}),
		event(14, sec(21.5), "tap", session.Data{}),
		event(15, sec(22.0), "nudged", session.Data{NudgeMS: late(300)}),
		event(21, sec(30.6), "tap", session.Data{Cue: "41", LateMS: late(0)}),
		event(22, sec(32.2), "tap", session.Data{Cue: "44", LateMS: late(-12)}),
		event(23, sec(40), "drill", session.Data{Step: "person", Do: "radio", From: "Quay", Text: "Person in the fallout area, they walk along the water. Hold.", Wants: "hold"}),
		event(24, sec(42.4), "held", session.Data{Reason: "person in the fallout area"}),
		byHand(event(25, sec(42.4), "drill", session.Data{Do: "dead", GroupBy: "position", Name: "Barge", Wants: "stand down"})),
		event(26, sec(42.4), "refused", session.Data{Text: "cannot start: the show is held"}),
		event(27, sec(42.4), "drill", session.Data{Step: "quiet", Do: "music off", Wants: "cut"}),
		event(28, sec(42.4), "stood down", session.Data{GroupBy: "position", Name: "Barge"}),
		byHand(event(29, sec(42.4), "drill", session.Data{Do: "music on"})),
	}
}

// held is the run of those events, held at 42.4 s.
func held() link.View {
	at := func(ms int) int64 { return int64(42400+ms) * screentest.Rate / 1000 }
	v := link.View{State: link.State{N: 1, State: "held", For: 17200 * time.Millisecond, Heard: at(0), Ahead: at(1000), Speed: 1}}
	w := &v.Watched
	*w = link.Watched{InForce: 300 * time.Millisecond, Asked: 300 * time.Millisecond, Gone: 66, Taps: 5, Drift: "too few taps: 3 more",
		Score: "score so far 62 of 100", Output: "PulseAudio, Test Speakers", UpAll: 3}
	for i := range 24 {
		w.Next = append(w.Next, link.Cue{ID: fmt.Sprint(67 + i), Position: []string{"Mole", "Beacon", "Barge"}[i%3],
			Effect: "gold comet with crackle", Lit: at(700 + 410*i), Seen: at(2300 + 410*i), Down: i%3 == 2})
	}
	w.Up = []link.UpCue{{Cue: "66", Position: "Jetty", Breaks: 900 * time.Millisecond, Clear: 2900 * time.Millisecond},
		{Cue: "65", Position: "Mole", Clear: 2100 * time.Millisecond}, {Cue: "64", Position: "Slip", Clear: 400 * time.Millisecond}}
	v.Crew = []link.Line{{Name: "Tom", Role: "trainer", Bound: 700 * time.Microsecond}, {Name: "Ada", Role: "safety", Ready: true, Bound: 2300 * time.Microsecond},
		{Name: "Ben", Role: "position:Beacon", Lost: 4 * time.Second}}
	return v
}

// heldWith is held with the events so far.
func heldWith(events []session.Entry) link.View {
	v := held()
	v.Events = events
	return v
}

// scenes are the screens that have goldens.
var scenes = map[string]func(*scene){
	"waiting": func(s *scene) {},
	"running": func(s *scene) {
		v := heldWith(drillEvents()[:9])
		v.State.State = "running"
		v.Watched.After, v.Watched.InForce, v.Watched.Level = "67", 0, [2]float64{0.5, 0.3}
		v.Watched.Next[0].Committed = true
		s.sees(v, 100*time.Millisecond)
	},
	"field": func(s *scene) {
		v := heldWith(drillEvents())
		v.State.Made, v.State.Wait = true, 750*time.Second
		v.State.State, v.Watched.Field = "safe", "expected 14, answering 13; go 5 of 7; wait 12:30; in: Quay"
		s.sees(v, 0)
	},
	"held": func(s *scene) { s.sees(heldWith(drillEvents()), 0) },
	"radio": func(s *scene) {
		s.sees(heldWith(drillEvents()), 0)
		s.press("r", "right", "right", "down", "down")
	},
	"write": func(s *scene) {
		s.sees(heldWith(drillEvents()), 0)
		s.press("t", "up", "tab")
		for _, r := range "Two people on the slipway, they do not answer. Hold where you are until we have them back." {
			s.press(strings.ReplaceAll(string(r), " ", "space"))
		}
	},
	"faults": func(s *scene) {
		s.sees(heldWith(drillEvents()), 0)
		s.press("f", "left", "left", "down", "down")
	},
	"crew": func(s *scene) { s.sees(heldWith(drillEvents()), 0); s.press("c") },
	"end":  func(s *scene) { s.sees(held(), 0); s.press("x") },
	"help": func(s *scene) { s.press("?") },
	"lost": func(s *scene) {
		v := heldWith(drillEvents())
		v.State.State, v.Lost, v.LostAt = "running", true, timebase.Frame(v.State.Heard)
		s.sees(v, 5*time.Second)
	},
	"gone": func(s *scene) {
		v := heldWith(drillEvents())
		v.Over = true
		s.sees(v, time.Minute)
	},
}

func TestInstructorScreens(t *testing.T) {
	t.Parallel()
	for name, set := range scenes {
		for _, size := range screentest.Sizes {
			s := newScene(t, size[0], size[1])
			set(s)
			got := s.View()
			screentest.Golden(t, fmt.Sprintf("instructor-%s-%dx%d", name, size[0], size[1]), got)
			screentest.Fits(t, name, got, size[0], size[1])
		}
	}
}

// TestInstructorInASCII: nothing needs more than ASCII where that is asked for,
// and nothing that is drawn lacks a stand-in, which a question mark would show.
func TestInstructorInASCII(t *testing.T) {
	t.Parallel()
	for name, set := range scenes {
		s := newScene(t, 120, 36)
		set(s)
		marks := strings.Count(s.View(), "?")
		s.ASCII = true
		if got := s.View(); strings.ContainsFunc(got, func(r rune) bool { return r > 126 }) || strings.Count(got, "?") != marks {
			t.Errorf("%s:\n%s", name, got)
		}
	}
}

// TestEveryLook: no theme and no size passes an edge.
func TestEveryLook(t *testing.T) {
	t.Parallel()
	for name, set := range scenes {
		for _, size := range [][2]int{{20, 5}, {60, 18}, {80, 24}, {133, 50}} {
			for _, theme := range screen.ThemeNames {
				s := newScene(t, size[0], size[1])
				s.Theme = screen.NewTheme(theme, termenv.TrueColor)
				set(s)
				screentest.Fits(t, name, s.View(), size[0], size[1])
			}
		}
	}
}

// TestInstructorAsks: what each key sequence asks of the run.
func TestInstructorAsks(t *testing.T) {
	t.Parallel()
	radio := func(from, text string, wants drill.Want) asked {
		return asked{crew.Radio, link.Deed{From: from, Text: text, Wants: string(wants)}}
	}
	fault := func(do drill.Deed, wants drill.Want) asked {
		return asked{crew.Fault, link.Deed{Do: string(do), Wants: string(wants)}}
	}
	quay := func(a asked) []asked { return []asked{{a.what, group(a.Deed, "Quay")}} }
	down := func(n int, keys ...string) []string { return append(slices.Repeat([]string{"down"}, n), keys...) }
	for _, c := range []struct {
		name string
		keys []string
		want []asked
	}{
		{"ready", []string{"r", "right", "enter"}, []asked{radio("Quay", "Hold, hold, hold. Person in the fallout area.", drill.WantHold)}},
		{"ready, stand down", append([]string{"r", "right"}, down(2, "enter")...), quay(radio("Quay", "Our module does not answer.", drill.WantStandDown))},
		{"ready, spotter", append([]string{"r"}, down(10, "enter")...), []asked{radio("spotter", "Boat inside the line. Hold.", drill.WantHold)}},
		{"written", []string{"t", "G", "o", "space", "o", "n", "x", "backspace", "down", "tab", "tab", "enter"}, []asked{radio("Quay", "Go on", drill.WantResume)}},
		{"written by the spotter, stand down", []string{"t", "x", "up", "tab", "tab", "tab", "tab", "enter"}, nil},
		{"written by a position, stand down", []string{"t", "x", "down", "tab", "tab", "tab", "tab", "enter"}, quay(radio("Quay", "x", drill.WantStandDown))},
		{"nothing written", []string{"t", "enter"}, nil},
		{"music off", []string{"f", "enter"}, []asked{fault(drill.MusicOff, drill.WantHold)}},
		{"dead", append([]string{"f", "right"}, down(2, "enter")...), quay(fault(drill.Dead, drill.WantStandDown))},
		{"alive", append([]string{"f", "right"}, down(3, "enter")...), quay(fault(drill.Alive, ""))},
		{"calls fall silent", append([]string{"f", "right"}, down(4, "enter")...), quay(fault(drill.CallsOff, drill.WantHold))},
		{"device lost", append([]string{"f"}, down(6, "enter")...), []asked{fault(drill.DeviceLost, "")}},
		{"past the end of the list", append([]string{"f"}, down(40, "enter")...), []asked{fault(drill.DeviceBack, "")}},
		{"not after all", []string{"f", "esc", "enter", "r", "q", "enter"}, nil},
		{"end", []string{"x", "y"}, []asked{fault(drill.Over, "")}},
		{"end, keys held down", []string{"x", "x", "x", "y", "y", "y"}, []asked{fault(drill.Over, "")}},
		{"end, no", []string{"x", "n", "y"}, nil},
		{"end, other key", []string{"x", "enter", "y"}, nil},
	} {
		s := newScene(t, 80, 24)
		s.sees(held(), 0)
		if s.press(c.keys...) {
			t.Errorf("%s: quit", c.name)
		}
		if !slices.Equal(s.link.asked, c.want) || s.link.holds != 0 {
			t.Errorf("%s: asked %+v, %d holds\nwant %+v", c.name, s.link.asked, s.link.holds, c.want)
		}
	}
}

// TestInstructorHolds: HOLD is called as its key comes, whatever is open, and not where
// it belongs to a message.
func TestInstructorHolds(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		keys  []string
		holds int
	}{
		{[]string{"space"}, 1}, {[]string{"r", "space"}, 1}, {[]string{"x", "space", "y"}, 1}, {[]string{"?", "space"}, 1}, {[]string{"c", "space", "space"}, 2},
		{[]string{"t", "space", "a", "space"}, 0}, {[]string{"t", "esc", "space"}, 1}, {[]string{"f", "t", "space"}, 1}, {[]string{"t", "a", "enter", "space"}, 1},
	} {
		s := newScene(t, 80, 24)
		s.sees(held(), 0)
		for _, k := range c.keys { // before the screen comes to any of them
			s.press(k)
		}
		if s.link.holds != c.holds {
			t.Errorf("%v: %d holds; wanted %d", c.keys, s.link.holds, c.holds)
		}
		all := newScene(t, 80, 24)
		all.sees(held(), 0)
		var msgs []tea.Msg
		for _, k := range c.keys { // all of them before the screen comes to any
			msgs = append(msgs, all.Arrived(screen.Input{Key: k}, screentest.Epoch))
		}
		for _, msg := range msgs {
			all.Update(msg)
		}
		if got := all.link.holds; got != c.holds {
			t.Errorf("%v at once: %d holds; wanted %d", c.keys, got, c.holds)
		}
	}
}

// TestEveryReadyMessage is one that a run takes.
func TestEveryReadyMessage(t *testing.T) {
	t.Parallel()
	for _, r := range readyMessages {
		for _, position := range []string{"Quay", ""} {
			d := r.deed(position)
			if d.From == "" || d.Text == "" || len(d.Text) > mostText || d.Wants == string(drill.WantStandDown) && d.Of == "" {
				t.Errorf("at %q: %+v", position, d)
			}
		}
	}
}

// TestInstructorIsTold: answers, silence and the end are said in words.
func TestInstructorIsTold(t *testing.T) {
	t.Parallel()
	answered := func(a link.Answer) link.View {
		v := held()
		v.Answers, v.Answer = 1, a
		return v
	}
	with := func(change func(*link.View)) link.View {
		v := held()
		change(&v)
		return v
	}
	for _, c := range []struct {
		name string
		view link.View
		age  time.Duration
		want string
	}{
		{"taken", answered(link.Answer{Deed: crew.Fault, Done: "music off"}), 0, "done: music off"},
		{"refused", answered(link.Answer{Deed: crew.Fault, Refused: "no cue has that"}), 0, "not done: no cue has that"},
		{"held", answered(link.Answer{Deed: crew.Hold, Call: 1}), 0, "HOLD called"},
		{"late", held(), 5 * time.Second, "no word of the drill for 0:05"},
		{"on time", held(), time.Second, "Nothing is fired"},
		{"cannot send", answered(link.Answer{Deed: crew.Fault, Refused: "LINK LOST: not sent"}), 0, "not done: LINK LOST: not sent"},
		{"lost", with(func(v *link.View) { v.Lost = true }), 5 * time.Second, "LINK LOST  for 0:05, last seen held"},
		{"over", with(func(v *link.View) { v.Over = true }), time.Hour, "the run has ended on the trainee's side; this is how it was left. q leaves"},
	} {
		s := newScene(t, 100, 30)
		s.sees(c.view, c.age)
		if got := s.View(); !strings.Contains(got, c.want) {
			t.Errorf("%s: the screen lacks %q:\n%s", c.name, c.want, got)
		}
	}
}

// TestInstructorAfterTheEnd: a run that is over takes nothing any more, a menu
// that was open closes, and only leaving leaves.
func TestInstructorAfterTheEnd(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	s.sees(held(), 0)
	s.press("f")
	v := held()
	v.Over = true
	s.sees(v, 0)
	if s.press("enter", "r", "enter", "x", "y", "esc"); len(s.link.asked) != 0 {
		t.Errorf("asked %+v of a run that is over", s.link.asked)
	}
	if !s.press("q") {
		t.Error("q does not leave")
	}
}

// TestFaultsFromEvents: what does not work follows from what was done to the run.
func TestFaultsFromEvents(t *testing.T) {
	t.Parallel()
	d := func(do, name string) session.Entry { return event(1, 0, "drill", session.Data{Do: do, Name: name}) }
	armed := event(1, 0, "armed", session.Data{})
	for _, c := range []struct {
		events []session.Entry
		want   string
	}{
		{nil, ""},
		{[]session.Entry{d("music off", ""), d("dead", "Quay"), d("dead", "Quay"), d("dead", "Mole"), d("device lost", "")}, "music off, device lost, Quay dead, Mole dead"},
		{[]session.Entry{d("dead", "Quay"), d("dead", "Mole"), d("alive", "Quay")}, "Mole dead"},
		{[]session.Entry{d("dead", ""), d("dead", "Mole"), d("alive", "")}, "Mole dead"},
		{[]session.Entry{d("dead", ""), d("alive", "Mole")}, "everything dead"},
		{[]session.Entry{d("radio", "Quay"), d("music off", ""), armed}, ""},
	} {
		f := faultsIn(c.events)
		if got := f.Words(); got != c.want {
			t.Errorf("%+v: %q, want %q", c.events, got, c.want)
		}
	}
}

// TestInstructorDrawsAnything: no state or event, however wrong, breaks the
// screen or runs out of it.
func TestInstructorDrawsAnything(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(r *rapid.T) {
		size := screentest.Sizes[rapid.IntRange(0, 2).Draw(r, "size")]
		s := newScene(t, size[0], size[1])
		number := rapid.Int64()
		text := rapid.SampledFrom([]string{"", "held", "漢字漢字漢字", strings.Repeat("long ", 60), "running"})
		span := func(what string) time.Duration { return time.Duration(number.Draw(r, what)) }
		frame := rapid.Int64Range(0, 1<<48)
		name := text.Draw(r, "name")
		w := link.Watched{Asked: span("asked"), InForce: span("nudge"), After: name, Gone: int(rapid.Int32().Draw(r, "gone")),
			Taps: int(rapid.Int32().Draw(r, "taps")), UpAll: int(rapid.Int32().Draw(r, "up")),
			Level: [2]float64{rapid.Float64().Draw(r, "left"), rapid.Float64().Draw(r, "right")}, Output: name}
		for range rapid.IntRange(0, 30).Draw(r, "listed") {
			w.Next = append(w.Next, link.Cue{ID: name, Position: name, Effect: name, Lit: number.Draw(r, "lit"), Seen: number.Draw(r, "seen")})
			w.Up = append(w.Up, link.UpCue{Cue: name, Position: name, Breaks: span("breaks"), Clear: span("clear")})
		}
		e := event(1, 0, text.Draw(r, "kind"), session.Data{Text: name, Do: name, From: name, LateMS: late(number.Draw(r, "late"))})
		e.Heard = number.Draw(r, "at")
		events := []session.Entry{e}
		for _, kind := range []string{"tap", "drill", "held"} {
			e.Kind = kind
			events = append(events, e)
		}
		age := span("age")
		s.link.view = link.View{Came: rapid.Bool().Draw(r, "came"), Lost: rapid.Bool().Draw(r, "lost"), Over: rapid.Bool().Draw(r, "over"), Silent: age, Age: age, News: 1,
			Welcome: link.Welcome{Title: text.Draw(r, "title"), Rate: rapid.IntRange(1, 1<<20).Draw(r, "rate"), Length: span("length"), Cues: int(rapid.Int32().Draw(r, "cues"))},
			State:   link.State{State: text.Draw(r, "state"), For: span("for"), Heard: frame.Draw(r, "heard"), Ahead: frame.Draw(r, "ahead"), Speed: 1},
			Events:  events, Watched: w, Clocked: rapid.Bool().Draw(r, "clocked"), LostAt: timebase.Frame(frame.Draw(r, "lost at"))}
		if rapid.Bool().Draw(r, "positions") {
			s.link.view.Planned = base().Planned
		}
		s.look(screentest.Epoch)
		s.press(rapid.SampledFrom([]string{"r", "t", "f", "x", "c", "?", "m"}).Draw(r, "menu"), "down", "right", "left")
		screentest.Fits(r, "the screen", s.View(), size[0], size[1])
	})
}

// TestInstructorKeys: a terminal can send each key, and none stands twice.
func TestInstructorKeys(t *testing.T) {
	t.Parallel()
	keys := map[string][]string{}
	for _, b := range keyTable {
		keys[string(b.Act)] = b.Keys
	}
	if _, err := screen.NewKeymap(keyTable, keys); err != nil {
		t.Error(err)
	}
}

// TestPlanAndTimes: what is planned is on the screen until it has come, with what is
// planted and the score so far; each thing that was asked for has its time, by hand
// too.
func TestPlanAndTimes(t *testing.T) {
	t.Parallel()
	for _, size := range screentest.Sizes {
		s := newScene(t, size[0], size[1])
		s.sees(held(), 0)
		if got := s.View(); !strings.Contains(got, "4 to come, score so far 62 of 100") || !strings.Contains(got, "Slip 0.30 s late") || !strings.Contains(got, "0:40.0") {
			t.Errorf("%v: the plan is not told:\n%s", size, got)
		}
	}
	s := newScene(t, 120, 36)
	s.sees(heldWith(drillEvents()), 0)
	got := s.View()
	for _, want := range []string{"2 to come", "8.0 s after hold", "1:15.5   music on", "wants hold: after 2.4 s]", "wants cut: 7.6 s, not yet]", "by hand: position Barge dead [wants stand down: after 0.0 s]"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
	// Armed anew, all of it is to come again.
	s.sees(heldWith(append(drillEvents(), event(40, 0, "armed", session.Data{}))), 0)
	if got := s.View(); !strings.Contains(got, "4 to come") || !strings.Contains(got, "wants cut: no answer]") {
		t.Errorf("after arming anew:\n%s", got)
	}
}

// TestWhoDidIt: what another trainer did has their name, what happens in the crew its words.
func TestWhoDidIt(t *testing.T) {
	t.Parallel()
	s := newScene(t, 120, 36)
	una := event(1, 42, session.KindDrill, session.Data{Do: "music off", Member: "Una"})
	una.By = show.ByInstructor
	tom := event(2, 42, session.KindDrill, session.Data{Do: "music on", Member: "Tom"})
	tom.By = show.ByInstructor
	joined := event(3, 42, session.KindCrew, session.Data{Crew: crew.HasJoined, Member: "Ada", Role: "safety"})
	s.sees(heldWith([]session.Entry{una, tom, joined}), 0)
	for _, want := range []string{"by Una: music off", "by hand: music on", "Ada (safety) joined"} {
		if got := s.View(); !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
}

// TestNextStepIsWhole: before anything has happened the next step stands there in
// full, its order at the end of it.
func TestNextStepIsWhole(t *testing.T) {
	t.Parallel()
	for _, size := range screentest.Sizes {
		s := newScene(t, size[0], size[1])
		s.sees(held(), 0)
		if got := s.View(); !strings.Contains(got, "Hold.") {
			t.Errorf("%v: the order of the next step is cut off:\n%s", size, got)
		}
	}
}

// TestRunningAlready: who resumed before the field was called clear is not waited for.
func TestRunningAlready(t *testing.T) {
	t.Parallel()
	s := newScene(t, 120, 36)
	clear := event(1, 42, session.KindDrill, session.Data{Text: "clear", Do: "radio", Wants: string(drill.WantResume)})
	clear.State = show.Running.String()
	s.sees(heldWith([]session.Entry{clear}), 0)
	if got := s.View(); !strings.Contains(got, "wants resume: running already") {
		t.Errorf("a show that runs is waited for to resume:\n%s", got)
	}
}

// TestTrainerHeldFirst: a hold that a trainer called for is not the trainee's answer.
func TestTrainerHeldFirst(t *testing.T) {
	t.Parallel()
	s := newScene(t, 120, 36)
	held := event(2, 43*time.Second, "held", session.Data{Member: "Una"})
	held.By = show.ByInstructor
	s.sees(heldWith([]session.Entry{event(1, 42*time.Second, "drill", session.Data{Do: "radio", From: "Quay", Text: "Stop.", Wants: "hold"}), held}), 0)
	if got := s.View(); !strings.Contains(got, "[wants hold: a trainer did it]") || !strings.Contains(got, "HELD: Una called it") {
		t.Errorf("a trainer's hold counts:\n%s", got)
	}
}

// TestOneQuestionEnds: it stands in one line that fits, and its keys in the foot.
func TestOneQuestionEnds(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	s.sees(heldWith(drillEvents()), 0)
	s.press("x")
	if lines := strings.Split(s.View(), "\n"); !strings.HasPrefix(lines[22], " end this drill? y / n") || strings.Contains(lines[22], "…") || !strings.Contains(lines[23], "y end the drill  n go on") {
		t.Errorf("%q\n%q", lines[22], lines[23])
	}
}

// TestTrainerCutsNothing: at 80 columns neither what is up by the list nor an event ends
// in an ellipsis.
func TestTrainerCutsNothing(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	v := heldWith([]session.Entry{event(1, time.Second, "refused", session.Data{Text: "cannot arm: the show is held, and somebody is in the field"})})
	v.Watched.Up, v.Watched.UpAll = nil, 0
	s.sees(v, 0)
	got := s.View()
	for _, want := range []string{"LIST   nothing up; ask the spotter", "refused: cannot arm: the", "show is held, and somebody", "is in the field"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is missing in\n%s", want, got)
		}
	}
	_, events, _ := strings.Cut(got, "latest events")
	for _, line := range strings.Split(events, "\n") {
		if right := []rune(line); len(right) > 40 && strings.Contains(string(right[40:]), "…") {
			t.Errorf("an event is cut:\n%s", got)
		}
	}
}
