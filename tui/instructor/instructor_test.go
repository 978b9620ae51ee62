package instructor

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/playback/instruct"
	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"
	"pgregory.net/rapid"
)

// fakeLink is a way to a run that the test makes up.
type fakeLink struct {
	view  instruct.View
	asked []instruct.Request
	err   error
}

func (f *fakeLink) View() instruct.View { return f.view }
func (f *fakeLink) Ask(r instruct.Request) error {
	if f.err == nil {
		f.asked = append(f.asked, r)
	}
	return f.err
}

// A scene is an instructor's screen at some moment of a made-up run.
type scene struct {
	*Screen
	t    *testing.T
	link *fakeLink
}

func newScene(t *testing.T, w, h int) *scene {
	link := &fakeLink{}
	s := &scene{t: t, link: link}
	s.Screen = New(Setup{Link: link, Look: screen.Look{Theme: screen.PlainTheme(), Themes: func(n string) *screen.Theme { return screen.NewTheme(n, termenv.TrueColor) }}, Now: func() time.Time { return screentest.Epoch },
		Hello: instruct.Hello{Version: instruct.Version, Show: "Harbour Evening", Drill: "Two things at once", Rate: screentest.Rate,
			Length: 135 * time.Second, Cues: 236, Positions: []string{"Mole", "Quay", "Jetty", "Slip", "Barge", "Beacon"},
			Planted: []string{"Slip 0.30 s late"},
			Steps: []instruct.PlannedStep{
				{Step: "person", At: 40 * time.Second, Do: drill.Radio, What: "Quay: Person in the fallout area, they walk along the water. Hold.", Wants: drill.WantHold},
				{Step: "out", At: 8 * time.Second, After: "hold", Do: drill.Radio, What: "Quay: The person is out, the area is clear.", Wants: drill.WantResume},
				{Step: "quiet", At: 42 * time.Second, Do: drill.MusicOff, What: "music off", Wants: drill.WantHold},
				{Step: "loud", At: 75500 * time.Millisecond, Do: drill.MusicOn, What: "music on"},
			}}})
	s.Update(tea.WindowSizeMsg{Width: w, Height: h})
	return s
}

// sees takes a view, as of a moment before now.
func (s *scene) sees(v instruct.View, age time.Duration) {
	v.At = screentest.Epoch.Add(-age)
	s.link.view = v
	s.look(screentest.Epoch)
}

// press presses keys and sends what they ask for.
func (s *scene) press(keys ...string) (quit bool) {
	for _, k := range keys {
		_, cmd := s.Update(s.Arrived(screen.Input{Key: k}, screentest.Epoch))
		if cmd == nil {
			continue
		}
		msg := cmd()
		if _, ok := msg.(tea.QuitMsg); ok {
			return true
		}
		s.Update(msg)
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

// heldState is the run's state of those events: held at 42.4 s.
func heldState() instruct.State {
	s := instruct.State{State: "held", For: 17200 * time.Millisecond, Heard: 42400 * time.Millisecond, InForce: 300 * time.Millisecond,
		Asked: 300 * time.Millisecond, Gone: 66, Taps: 5, Drift: "too few taps: 3 more", Score: "score so far 62 of 100", Output: "PulseAudio, Test Speakers", UpAll: 3}
	for i := range 24 {
		s.Next = append(s.Next, instruct.NextCue{Cue: fmt.Sprint(67 + i), Position: []string{"Mole", "Beacon", "Barge"}[i%3],
			Effect: "gold comet with crackle", In: time.Duration(700+410*i) * time.Millisecond, Seen: time.Duration(2300+410*i) * time.Millisecond, Down: i%3 == 2})
	}
	s.Up = []instruct.UpCue{{Cue: "66", Position: "Jetty", Breaks: 900 * time.Millisecond, Clear: 2900 * time.Millisecond},
		{Cue: "65", Position: "Mole", Clear: 2100 * time.Millisecond}, {Cue: "64", Position: "Slip", Clear: 400 * time.Millisecond}}
	return s
}

// scenes are the screens that have goldens.
var scenes = map[string]func(*scene){
	"waiting": func(s *scene) {},
	"running": func(s *scene) {
		st := heldState()
		st.State, st.After, st.InForce, st.Level = "running", "67", 0, [2]float64{0.5, 0.3}
		st.Next[0].Committed = true
		s.sees(instruct.View{State: st, Events: drillEvents()[:9]}, 100*time.Millisecond)
	},
	"field": func(s *scene) {
		st := heldState()
		st.State, st.Field = "safe", "expected 14, answering 13; go 5 of 7; wait 12:30; in: Quay"
		s.sees(instruct.View{State: st, Events: drillEvents()}, 0)
	},
	"held": func(s *scene) { s.sees(instruct.View{State: heldState(), Events: drillEvents()}, 0) },
	"radio": func(s *scene) {
		s.sees(instruct.View{State: heldState(), Events: drillEvents()}, 0)
		s.press("r", "right", "right", "down", "down")
	},
	"write": func(s *scene) {
		s.sees(instruct.View{State: heldState(), Events: drillEvents()}, 0)
		s.press("t", "up", "tab")
		for _, r := range "Two people on the slipway, they do not answer. Hold where you are until we have them back." {
			s.press(strings.ReplaceAll(string(r), " ", "space"))
		}
	},
	"faults": func(s *scene) {
		s.sees(instruct.View{State: heldState(), Events: drillEvents()}, 0)
		s.press("f", "left", "left", "down", "down")
	},
	"end":  func(s *scene) { s.sees(instruct.View{State: heldState()}, 0); s.press("x") },
	"help": func(s *scene) { s.press("?") },
	"gone": func(s *scene) {
		s.sees(instruct.View{State: heldState(), Events: drillEvents(), Ended: "the run has ended on the trainee's side"}, time.Minute)
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

// TestInstructorAsks: what each key sequence asks of the run.
func TestInstructorAsks(t *testing.T) {
	t.Parallel()
	quay := func(r instruct.Request) instruct.Request { return group(r, "Quay") }
	down := func(n int, keys ...string) []string { return append(slices.Repeat([]string{"down"}, n), keys...) }
	for _, c := range []struct {
		name string
		keys []string
		want []instruct.Request
	}{
		{"ready", []string{"r", "right", "enter"}, []instruct.Request{{Do: drill.Radio, From: "Quay", Text: "Hold, hold, hold. Person in the fallout area.", Wants: drill.WantHold}}},
		{"ready, stand down", append([]string{"r", "right"}, down(2, "enter")...),
			[]instruct.Request{quay(instruct.Request{Do: drill.Radio, From: "Quay", Text: "Our module does not answer.", Wants: drill.WantStandDown})}},
		{"ready, spotter", append([]string{"r"}, down(10, "enter")...),
			[]instruct.Request{{Do: drill.Radio, From: "spotter", Text: "Boat inside the line. Hold.", Wants: drill.WantHold}}},
		{"written", []string{"t", "G", "o", "space", "o", "n", "x", "backspace", "down", "tab", "tab", "enter"},
			[]instruct.Request{{Do: drill.Radio, From: "Quay", Text: "Go on", Wants: drill.WantResume}}},
		{"written by the spotter, stand down", []string{"t", "x", "up", "tab", "tab", "tab", "tab", "enter"}, nil},
		{"written by a position, stand down", []string{"t", "x", "down", "tab", "tab", "tab", "tab", "enter"},
			[]instruct.Request{quay(instruct.Request{Do: drill.Radio, From: "Quay", Text: "x", Wants: drill.WantStandDown})}},
		{"nothing written", []string{"t", "enter"}, nil},
		{"music off", []string{"f", "enter"}, []instruct.Request{{Do: drill.MusicOff, Wants: drill.WantHold}}},
		{"dead", append([]string{"f", "right"}, down(2, "enter")...), []instruct.Request{quay(instruct.Request{Do: drill.Dead, Wants: drill.WantStandDown})}},
		{"alive", append([]string{"f", "right"}, down(3, "enter")...), []instruct.Request{quay(instruct.Request{Do: drill.Alive})}},
		{"calls fall silent", append([]string{"f", "right"}, down(4, "enter")...), []instruct.Request{quay(instruct.Request{Do: drill.CallsOff, Wants: drill.WantHold})}},
		{"device lost", append([]string{"f"}, down(6, "enter")...), []instruct.Request{{Do: drill.DeviceLost}}},
		{"past the end of the list", append([]string{"f"}, down(40, "enter")...), []instruct.Request{{Do: drill.DeviceBack}}},
		{"not after all", []string{"f", "esc", "enter", "r", "q", "enter"}, nil},
		{"end", []string{"x", "y"}, []instruct.Request{{Do: drill.Over}}},
		{"end, keys held down", []string{"x", "x", "x", "y", "y", "y"}, []instruct.Request{{Do: drill.Over}}},
		{"end, no", []string{"x", "n", "y"}, nil},
		{"end, other key", []string{"x", "enter", "y"}, nil},
	} {
		s := newScene(t, 80, 24)
		s.sees(instruct.View{State: heldState()}, 0)
		if s.press(c.keys...) {
			t.Errorf("%s: quit", c.name)
		}
		if !slices.Equal(s.link.asked, c.want) {
			t.Errorf("%s: asked %+v\nwant %+v", c.name, s.link.asked, c.want)
		}
	}
}

// TestEveryReadyMessage is one that a run takes.
func TestEveryReadyMessage(t *testing.T) {
	t.Parallel()
	for _, r := range readyMessages {
		for _, position := range []string{"Quay", ""} {
			q := r.request(position)
			if q.From == "" || q.Text == "" || len(q.Text) > instruct.MaxText || q.Wants == drill.WantStandDown && q.Name == "" {
				t.Errorf("at %q: %+v", position, q)
			}
		}
	}
}

// TestInstructorIsTold: answers, silence and the end are said in words.
func TestInstructorIsTold(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		view instruct.View
		age  time.Duration
		err  error
		want string
	}{
		{"taken", instruct.View{State: heldState(), Answered: 1, Answer: "music off"}, 0, nil, "done: music off"},
		{"refused", instruct.View{State: heldState(), Answered: 1, Refused: true, Answer: "no cue has that"}, 0, nil, "not done: no cue has that"},
		{"late", instruct.View{State: heldState()}, 5 * time.Second, nil, "no word from the trainee's side for 0:05"},
		{"on time", instruct.View{State: heldState()}, time.Second, nil, "Nothing is fired"},
		{"cannot send", instruct.View{State: heldState()}, 0, errors.New("the trainee's side does not take it: broken pipe"), "does not take it: broken pipe"},
		{"over", instruct.View{State: heldState(), Ended: "the run has ended on the trainee's side"}, time.Hour, nil, "the run has ended on the trainee's side; this is how it was left. q leaves"},
	} {
		s := newScene(t, 100, 30)
		s.sees(c.view, c.age)
		if s.link.err = c.err; c.err != nil {
			s.press("f", "enter")
		}
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
	s.sees(instruct.View{State: heldState()}, 0)
	s.press("f")
	s.sees(instruct.View{State: heldState(), Ended: "gone"}, 0)
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
		s.Hello.Rate = int(rapid.Int32().Draw(r, "rate"))
		s.Hello.Length, s.Hello.Show, s.Hello.Cues = span("length"), text.Draw(r, "title"), int(rapid.Int32().Draw(r, "cues"))
		if rapid.Bool().Draw(r, "no positions") {
			s.Hello.Positions = nil
		}
		name := text.Draw(r, "name")
		st := instruct.State{State: text.Draw(r, "state"), For: span("for"), Heard: span("heard"), Asked: span("asked"), InForce: span("nudge"),
			After: name, Gone: int(rapid.Int32().Draw(r, "gone")), Taps: int(rapid.Int32().Draw(r, "taps")), UpAll: int(rapid.Int32().Draw(r, "up")),
			Level: [2]float64{rapid.Float64().Draw(r, "left"), rapid.Float64().Draw(r, "right")}, Output: name}
		for range rapid.IntRange(0, 30).Draw(r, "listed") {
			st.Next = append(st.Next, instruct.NextCue{Cue: name, Position: name, Effect: name, In: span("in")})
			st.Up = append(st.Up, instruct.UpCue{Cue: name, Position: name, Breaks: span("breaks"), Clear: span("clear")})
		}
		e := event(1, 0, text.Draw(r, "kind"), session.Data{Text: name, Do: name, From: name, LateMS: late(number.Draw(r, "late"))})
		e.Heard = number.Draw(r, "at")
		events := []session.Entry{e}
		for _, kind := range []string{"tap", "drill", "held"} {
			e.Kind = kind
			events = append(events, e)
		}
		s.sees(instruct.View{State: st, Events: events}, span("age"))
		s.press(rapid.SampledFrom([]string{"r", "t", "f", "x", "?", "m"}).Draw(r, "menu"), "down", "right", "left")
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
		s.sees(instruct.View{State: heldState()}, 0)
		if got := s.View(); !strings.Contains(got, "4 to come, score so far 62 of 100") || !strings.Contains(got, "Slip 0.30 s late") || !strings.Contains(got, "0:40.0") {
			t.Errorf("%v: the plan is not told:\n%s", size, got)
		}
	}
	s := newScene(t, 120, 36)
	s.sees(instruct.View{State: heldState(), Events: drillEvents()}, 0)
	got := s.View()
	for _, want := range []string{"2 to come", "8.0 s after hold", "1:15.5   music on", "wants hold: after 2.4 s]", "wants cut: 7.6 s, not yet]", "by hand: position Barge dead [wants stand down: after 0.0 s]"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
	// Armed anew, all of it is to come again.
	s.sees(instruct.View{State: heldState(), Events: append(drillEvents(), event(40, 0, "armed", session.Data{}))}, 0)
	if got := s.View(); !strings.Contains(got, "4 to come") || !strings.Contains(got, "wants cut: no answer]") {
		t.Errorf("after arming anew:\n%s", got)
	}
}

// TestNextStepIsWhole: before anything has happened the next step stands there in
// full, its order at the end of it.
func TestNextStepIsWhole(t *testing.T) {
	t.Parallel()
	for _, size := range screentest.Sizes {
		s := newScene(t, size[0], size[1])
		s.sees(instruct.View{State: heldState()}, 0)
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
	s.sees(instruct.View{State: heldState(), Events: []session.Entry{clear}}, 0)
	if got := s.View(); !strings.Contains(got, "wants resume: running already") {
		t.Errorf("a show that runs is waited for to resume:\n%s", got)
	}
}

// TestOneQuestionEnds: it stands in one line that fits, and its keys in the foot.
func TestOneQuestionEnds(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	s.sees(instruct.View{State: heldState(), Events: drillEvents()}, 0)
	s.press("x")
	if lines := strings.Split(s.View(), "\n"); !strings.HasPrefix(lines[22], " end this drill? y / n") || strings.Contains(lines[22], "…") || !strings.Contains(lines[23], "y end the drill  n go on") {
		t.Errorf("%q\n%q", lines[22], lines[23])
	}
}
