package crew

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	link "drylane/playback/crew"
	"drylane/playback/earpiece"
	"drylane/show"
	"drylane/show/crew"
	"drylane/show/crewclock"
	"drylane/show/session"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"
)

// A fakeLink is a link that a test moves by hand.
type fakeLink struct {
	view  link.View
	did   []string
	sound *earpiece.Status
}

func (f *fakeLink) View() link.View    { return f.view }
func (f *fakeLink) Hold(reason string) { f.did = append(f.did, "hold") }
func (f *fakeLink) Do(what crew.Deed, d link.Deed) {
	f.did = append(f.did, strings.TrimSpace(fmt.Sprint(what, " ", d.Cue, d.Text)))
}

// running is the demo at 0:58.9, as a member is told of it.
func running(role crew.Role) *fakeLink {
	const rate = screentest.Rate
	at := func(s float64) int64 { return int64(s * rate) }
	f := &fakeLink{view: link.View{Came: true, Clocked: true, Silent: 40 * time.Millisecond,
		Welcome: link.Welcome{Version: link.Version, Title: "Harbour Evening", Name: "Ada", Role: role.String(), Rate: rate, Length: 135 * time.Second},
		Clock:   crewclock.Reading{Bound: 2300 * time.Microsecond, Delay: 4 * time.Millisecond},
		State: link.State{N: 9, State: "running", For: 58860 * time.Millisecond, Heard: at(58.9), Ahead: at(59), Speed: 1, Gone: 97, Up: 5,
			Unknown: 1, Clear: 3100 * time.Millisecond},
	}}
	if role.Kind.Sees(crew.SeesOwn) || role.Kind.Sees(crew.SeesAll) {
		f.view.Cues = link.Cues{Left: 23, Ready: true, List: []link.Cue{
			{ID: "91", Position: "Beacon", Effect: "silver comet", Lit: at(55), Seen: at(55.5), Fired: true},
			{ID: "95", Position: "Beacon", Effect: "19 shot fan", Lit: at(57), Seen: at(57.4), Fired: true},
			{ID: "98", Position: "Beacon", Effect: "19 shot crackling fan with a long and winding name", Lit: at(59), Seen: at(59.4), Committed: true},
			{ID: "104", Position: "Beacon", Effect: "gold comet", Lit: at(64.4), Seen: at(65)},
			{ID: "110", Position: "Quay", Effect: "red peony", Lit: at(161), Seen: at(163), Down: true},
		}}
	}
	if role.Kind.Sees(crew.SeesCrew) {
		f.view.Crew = []link.Line{{Name: "Ada", Role: role.String(), Ready: true, Bound: 2300 * time.Microsecond},
			{Name: "Ben", Role: "position:Beacon", Ready: true, Bound: 700 * time.Microsecond},
			{Name: "Cyd", Role: "listener"}, {Name: "Dorothea-Wilhelmina Long", Role: "position:Harbour wall north end", Bound: 31 * time.Millisecond}}
		f.view.Events = []session.Entry{{Kind: "armed", Heard: 0}, {Kind: "started"}, {Kind: session.KindCrew, Heard: at(40), Data: session.Data{Crew: crew.IsReady, Member: "Ben", Role: "position:Beacon"}}}
	}
	return f
}

// hold makes the link one in a hold.
func (f *fakeLink) hold() {
	s := &f.view.State
	s.State, s.Hold, s.Why, s.For, s.Waits = "held", 1, "Ben: person in the fallout area", 1200*time.Millisecond, []string{"Ada", "Cyd"}
	for i := range f.view.Crew {
		f.view.Crew[i].Answer = []crew.Answer{crew.Awaited, crew.Answered, crew.NotTold, crew.Struck}[i]
		f.view.Crew[i].After = 800 * time.Millisecond
	}
}

// cut makes the link one of a run that was cut, with a list as long as that of a show.
func (f *fakeLink) cut() {
	s := &f.view.State
	s.State, s.For, s.Made, s.Wait = "safe", 3*time.Second, true, 897*time.Second
	if f.view.Cues.Left > 0 {
		f.view.Cues.Left = 203
	}
}

// longEvents gives the link events that need more than a row at 80 columns.
func (f *fakeLink) longEvents() {
	for _, text := range []string{"cannot start: safety Saf refuses it: somebody is in the fallout area behind the second rack",
		"without go from Field safety, Spotter, Timekeeper, Audience line, Fire watch and Harbour master"} {
		f.view.Events = append(f.view.Events, session.Entry{Kind: session.KindRefused, Heard: 40 * screentest.Rate, Data: session.Data{Text: text}})
	}
}

// scenes are the screens that have goldens.
var scenes = map[string]struct {
	role   string
	change func(*fakeLink)
}{
	"crew-position":      {"position:Beacon", nil},
	"crew-position-held": {"position:Beacon", (*fakeLink).hold},
	"crew-safety":        {"safety", nil},
	"crew-safety-held": {"safety", func(f *fakeLink) {
		f.hold()
		f.view.State.Forbids = "safety Ada refuses it: somebody is in the fallout area"
		f.view.Crew[0].Objects = "somebody is in the fallout area"
	}},
	"crew-spotter-lost": {"spotter", func(f *fakeLink) { f.view.Crew[1].Lost = 4 * time.Second }},
	"crew-listener":     {"listener", nil},
	"crew-link-lost": {"position:Beacon", func(f *fakeLink) {
		f.view.Lost, f.view.Silent, f.view.LostAt = true, 4200*time.Millisecond, 2597490
	}},
	"crew-spotter-held": {"spotter", func(f *fakeLink) {
		f.hold()
		f.view.Crew[1].Asks = true
		f.longEvents()
	}},
	"crew-position-asks": {"position:Beacon", func(f *fakeLink) {
		f.hold()
		f.view.State.Asks = []string{"Ada"}
	}},
	"crew-safety-cut": {"safety", func(f *fakeLink) {
		f.cut()
		f.longEvents()
	}},
	"crew-listener-cut": {"listener", (*fakeLink).cut},
	"crew-spotter-cut":  {"spotter", (*fakeLink).cut},
	"crew-position-cut": {"position:Beacon", (*fakeLink).cut},
	"crew-listener-struck": {"listener", func(f *fakeLink) {
		f.hold()
		f.view.State.Waits, f.view.State.Struck = nil, []string{"Ada"}
	}},
	"crew-out": {"position:Beacon", func(f *fakeLink) {
		f.view.Out = "Ada is in the crew already, as Beacon; wanted another name"
	}},
	"crew-safe-hold": {"safety", func(f *fakeLink) { // called before anything ran
		f.view.State.State, f.view.State.Heard, f.view.State.Up, f.view.State.Unknown = "armed", 0, 0, 0
		f.view.Answers, f.view.Answer = 1, link.Answer{Deed: crew.Hold}
	}},
	"crew-over": {"spotter", func(f *fakeLink) { f.view.Over = true }},
	"crew-position-sound": {"position:Beacon", func(f *fakeLink) {
		f.sound = &earpiece.Status{Name: "calls/beacon.wav", Output: "PulseAudio, Built-in Audio Analog Stereo", Plays: true, Measured: true, Early: 230 * time.Microsecond, Bound: 2300 * time.Microsecond}
	}},
	"crew-listener-silent": {"listener", func(f *fakeLink) {
		f.sound = &earpiece.Status{Name: "music", Output: "PulseAudio, Headphones", Lost: "the sound device went away"}
	}},
}

func newScene(t testing.TB, name string, w, h int) (*Screen, *fakeLink) {
	t.Helper()
	role, err := crew.ParseRole(scenes[name].role)
	if err != nil {
		t.Fatal(err)
	}
	f := running(role)
	if change := scenes[name].change; change != nil {
		change(f)
	}
	m := New(Setup{Link: f, Role: role, Sound: func() *earpiece.Status { return f.sound }, Now: func() time.Time { return screentest.Epoch },
		Look: screen.Look{Theme: screen.PlainTheme(), Themes: func(n string) *screen.Theme { return screen.NewTheme(n, termenv.TrueColor) }}})
	m.Update(tea.WindowSizeMsg{Width: w, Height: h})
	return m, f
}

func TestGoldens(t *testing.T) {
	for name := range scenes {
		for _, size := range screentest.Sizes {
			m, _ := newScene(t, name, size[0], size[1])
			got := m.View()
			screentest.Fits(t, name, got, size[0], size[1])
			screentest.Golden(t, fmt.Sprintf("%s-%dx%d", name, size[0], size[1]), got)
		}
	}
}

// TestEveryLook: no theme, no size and no want of characters passes an edge.
func TestEveryLook(t *testing.T) {
	for name := range scenes {
		for _, size := range [][2]int{{20, 5}, {60, 18}, {80, 24}, {133, 50}} {
			for _, theme := range screen.ThemeNames {
				m, _ := newScene(t, name, size[0], size[1])
				m.Theme, m.ASCII = screen.NewTheme(theme, termenv.TrueColor), true
				screentest.Fits(t, name, m.View(), size[0], size[1])
			}
		}
	}
}

// TestRadioIsHeard: what is said on the radio of a drill stands among the events as such.
func TestRadioIsHeard(t *testing.T) {
	m, f := newScene(t, "crew-safety", 80, 24)
	f.view.Events = append(f.view.Events, session.Entry{Kind: session.KindDrill, Data: session.Data{Do: "radio", From: "Quay", Text: "No music out here."}})
	m.look(screentest.Epoch)
	if got := m.View(); !strings.Contains(got, "radio, Quay: No music out here.") {
		t.Errorf("not heard:\n%s", got)
	}
}

// press presses keys as the terminal would.
func press(m *Screen, keys ...string) {
	for _, k := range keys {
		m.Update(m.Arrived(screen.Input{Key: k}, screentest.Epoch))
	}
}

// TestKeys: what each role's keys ask for, and that keys for what it may not do do
// nothing.
func TestKeys(t *testing.T) {
	for _, c := range []struct{ scene, keys, want string }{
		{"crew-position", "space r d y x j o", "hold, unready, standdown, seen 95, did-not-go 95"},
		{"crew-position", "up y down down x enter", "seen 91, did-not-go 95"},
		{"crew-position-held", "enter", "acknowledge"},
		{"crew-position-asks", "d", "withdraw"},
		{"crew-listener-struck", "enter", "acknowledge"},
		{"crew-safety", "o 1 o 9 o space", "object somebody is in the fallout area, hold"},
		{"crew-safety-held", "o", "allow"},
		{"crew-listener", "j f r y o space", "tap, tap, hold"},
		{"crew-spotter-lost", "? space q", "hold"},
		{"crew-link-lost", "space", "hold"},
	} {
		m, f := newScene(t, c.scene, 80, 24)
		press(m, strings.Fields(c.keys)...)
		if got := strings.Join(f.did, ", "); got != c.want {
			t.Errorf("%s, %s: %q; wanted %q", c.scene, c.keys, got, c.want)
		}
	}
}

// TestCutsNothing: at 80 columns no key, message, fact, cue or event ends in an ellipsis;
// a name in the list of the crew may.
func TestCutsNothing(t *testing.T) {
	for name := range scenes {
		m, _ := newScene(t, name, 80, 24)
		lines := strings.Split(m.View(), "\n")
		for i, line := range lines {
			if strings.Contains(strings.ReplaceAll(strings.TrimPrefix(line, " … waiting"), "Dorothea-… Harbour…", ""), "…") {
				t.Errorf("%s, line %d: %s", name, i+1, line)
			}
		}
	}
}

// TestEverybodyHasHold: every role has a key for HOLD, and it stands first.
func TestEverybodyHasHold(t *testing.T) {
	for _, k := range crew.Kinds() {
		if list := keysOf(k); list[0].Act != actHold || !list[0].Now {
			t.Errorf("%s: %+v", k, list[0])
		}
	}
	if slices.ContainsFunc(keysOf(crew.Listener), func(b screen.Binding) bool { return b.Act == actReady }) {
		t.Error("a listener has a key to be ready")
	}
}

// TestNothingHeard: before anything was heard the screen says so and breaks nowhere.
func TestNothingHeard(t *testing.T) {
	for _, role := range []string{"safety", "position:Beacon", "listener"} {
		r, _ := crew.ParseRole(role)
		m := New(Setup{Link: &fakeLink{}, Role: r, Look: screen.Look{Theme: screen.PlainTheme()}})
		m.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
		if !strings.Contains(m.View(), "waiting for the lead") {
			t.Errorf("%s:\n%s", role, m.View())
		}
		if m.state() != show.Safe {
			t.Errorf("%s is taken for %s", role, m.state())
		}
	}
}
