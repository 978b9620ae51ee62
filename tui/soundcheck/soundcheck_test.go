package soundcheck

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/desk"
	"drylane/playback/loudness"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"
)

// fakeDesk is a desk that the test moves by hand.
type fakeDesk struct {
	snap desk.Snapshot
	did  chan desk.Command
	quit bool
}

func (f *fakeDesk) Snapshot() *desk.Snapshot { s := f.snap; return &s }
func (f *fakeDesk) Do(c desk.Command)        { f.did <- c }
func (f *fakeDesk) Quit()                    { f.quit = true }

// list returns what was asked for since the last call.
func (f *fakeDesk) list() (list []desk.Command) {
	for len(f.did) > 0 {
		list = append(list, <-f.did)
	}
	return list
}

// files are the files of an invented show.
var files = []desk.File{
	{Name: "soundtrack.mp3", Uses: []string{"soundtrack", "player sound desk"},
		Info: playback.Info{Format: "MP3", Rate: 44100, Channels: 2, Frames: 142 * 44100}},
	{Name: "mole-timecode.wav", Uses: []string{"track with left music, right timecode"},
		Info:    playback.Info{Format: "WAV", Rate: 48000, Channels: 1, Frames: 100 * 48000, Truncated: "cut off"},
		Caution: "mole-timecode.wav: the file says it has 2:22 of music, but it is cut off after 1:40"},
	{Name: "spoken-calls.flac", Uses: []string{"player at the Beacon"},
		Problem: "spoken-calls.flac is missing: it is not in the show folder, and show.toml wants it (player at the Beacon)"},
}

func newScreen(w, h int) (*Screen, *fakeDesk) {
	f := &fakeDesk{did: make(chan desk.Command, 100)}
	silence := loudness.Silence
	f.snap = desk.Snapshot{Source: -1, Gain: [2]desk.Half{desk.LowGain, desk.LowGain}, Level: desk.StartLevel, Momentary: silence, ShortTerm: silence}
	m := New(Setup{Title: "Harbour Evening", Desk: f, Sources: desk.Sources(files), Look: screen.Look{Theme: screen.PlainTheme(), Themes: func(n string) *screen.Theme { return screen.NewTheme(n, termenv.TrueColor) }}, Now: func() time.Time { return screentest.Epoch }})
	m.Update(tea.WindowSizeMsg{Width: w, Height: h})
	return m, f
}

// plays makes the desk play source i.
func (f *fakeDesk) plays(i int, at, length time.Duration) {
	s := &f.snap
	s.Source, s.Playing, s.Position, s.Length = i, true, at, length
	s.Output, s.Rate, s.Latency = "PulseAudio, Test Speakers", 44100, 23*time.Millisecond
	s.Peak, s.Held, s.Max = [2]float64{0.0126, 0.0112}, [2]float64{0.0141, 0.0126}, [2]float64{0.0158, 0.0141}
	s.Momentary, s.ShortTerm = -38.2, -38.4
}

var scenes = map[string]func(*Screen, *fakeDesk){
	"start": func(*Screen, *fakeDesk) {},
	"left": func(m *Screen, f *fakeDesk) {
		f.plays(int(desk.PipsLeft), 12300*time.Millisecond, 0)
		f.snap.Peak[1] = 0
	},
	"polarity": func(m *Screen, f *fakeDesk) {
		f.plays(int(desk.Polarity), 7*time.Second, 0)
		m.list.Mark = int(desk.Polarity)
	},
	"tone": func(m *Screen, f *fakeDesk) {
		f.plays(int(desk.Tone), 65*time.Second, 0)
		f.snap.Gain, f.snap.Mute = [2]desk.Half{desk.Halves(-6.5), desk.LowGain}, [2]bool{false, true}
		f.snap.Peak, f.snap.Held = [2]float64{0.06, 0}, [2]float64{0.06, 0}
		m.list.Mark = int(desk.Tone)
	},
	"file": func(m *Screen, f *fakeDesk) {
		f.plays(6, 61*time.Second, 142*time.Second)
		f.snap.Peak, f.snap.Held = [2]float64{0.95, 0.4}, [2]float64{1, 0.5}
		f.snap.Gain, f.snap.Over, f.snap.Overs = [2]desk.Half{4, 0}, true, 17
		m.list.Mark = 7
	},
	"missing": func(m *Screen, f *fakeDesk) {
		m.list.Mark = 8
		f.snap.Source, f.snap.Message, f.snap.Failure = 8, files[2].Problem, true
	},
	"silent": func(m *Screen, f *fakeDesk) {
		m.Quiet, m.Warn = true, []string{"3 problems in its files, so it cannot be run as it is"}
	},
	"help": func(m *Screen, f *fakeDesk) { m.key(screen.KeyMsg{Key: "?"}) },
}

func TestSoundCheckScreens(t *testing.T) {
	t.Parallel()
	for _, size := range screentest.Sizes {
		for name, scene := range scenes {
			m, f := newScreen(size[0], size[1])
			scene(m, f)
			m.look(screentest.Epoch)
			got := m.View()
			screentest.Golden(t, fmt.Sprintf("soundcheck-%s-%dx%d", name, size[0], size[1]), got)
			screentest.Fits(t, name, got, size[0], size[1])
			if !strings.Contains(got, "nothing is armed") || name != "help" && !strings.Contains(got, "EARS: start low") {
				t.Errorf("%s at %v does not say that nothing is armed, or to start low", name, size)
			}
		}
	}
}

func TestSoundCheckTooSmall(t *testing.T) {
	t.Parallel()
	m, f := newScreen(40, 10)
	f.plays(0, 0, 0)
	m.look(screentest.Epoch)
	if got := m.View(); !strings.Contains(got, "space stops") || !strings.Contains(got, "SOUND CHECK  playing") {
		t.Errorf("%s", got)
	}
}

// Every window from the smallest to a large one is drawn without a line too
// many or too wide.
func TestSoundCheckAnySize(t *testing.T) {
	t.Parallel()
	m, f := newScreen(80, 24)
	f.plays(6, 61*time.Second, 142*time.Second)
	m.look(screentest.Epoch)
	for w := 1; w <= 220; w += 7 {
		for h := 1; h <= 70; h += 3 {
			m.Update(tea.WindowSizeMsg{Width: w, Height: h})
			screentest.Fits(t, "the sound check", m.View(), w, h)
		}
	}
}

func TestSoundCheckASCII(t *testing.T) {
	t.Parallel()
	for name, scene := range scenes {
		m, f := newScreen(80, 24)
		m.ASCII = true
		scene(m, f)
		m.look(screentest.Epoch)
		for _, r := range m.View() {
			if r > 126 {
				t.Errorf("%s has %q in it", name, r)
			}
		}
	}
}

// No key stands twice in the table, every act has a meaning, and what must not
// wait depends on nothing on the screen.
func TestSoundCheckKeys(t *testing.T) {
	t.Parallel()
	seen := map[string]screen.Act{}
	for _, b := range keyTable {
		if b.Help == "" || len(b.Keys) == 0 {
			t.Errorf("%s has no key or no help", b.Act)
		}
		for _, k := range b.Keys {
			if other, ok := seen[k]; ok {
				t.Errorf("%q stands for %s and %s", k, other, b.Act)
			}
			seen[k] = b.Act
		}
		if _, ok := commandOf(b.Act); ok != b.Now {
			t.Errorf("%s: a command of its own %v, done at once %v", b.Act, ok, b.Now)
		}
	}
	if len(commands) != len(slices.DeleteFunc(slices.Clone(keyTable), func(b screen.Binding) bool { return !b.Now })) {
		t.Error("a command has no key")
	}
}

func TestSoundCheckCommands(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		keys string
		want []desk.Command
	}{
		{"space", []desk.Command{{Action: desk.Stop}}},
		{"enter", []desk.Command{{Action: desk.Play, Source: 0}}},
		{"down down enter", []desk.Command{{Action: desk.Play, Source: 2}}},
		{"n n p", []desk.Command{{Action: desk.Top, Source: 1}, {Action: desk.Top, Source: 2}, {Action: desk.Top, Source: 1}}},
		{"down 0", []desk.Command{{Action: desk.Top, Source: 1}}},
		{"w S o L", []desk.Command{{Action: desk.Gain, Side: desk.Left, Step: 2}, {Action: desk.Gain, Side: desk.Left, Step: -1},
			{Action: desk.Gain, Side: desk.Right, Step: 2}, {Action: desk.Gain, Side: desk.Right, Step: -1}}},
		{"1 2 x b", []desk.Command{{Action: desk.Mute, Side: desk.Left}, {Action: desk.Mute, Side: desk.Right}, {Action: desk.Low}, {Action: desk.Over}}},
		{"right . ,", []desk.Command{{Action: desk.Wind, By: 5 * time.Second}, {Action: desk.Level, Step: 2}, {Action: desk.Level, Step: -2}}},
		{"? space", []desk.Command{{Action: desk.Stop}}}, // under the help too
		{"? enter", nil}, // which takes the others
		{"ctrl+z", []desk.Command{{Action: desk.Stop}}},
		{"a g y", nil}, // nothing arms here
	} {
		m, f := newScreen(80, 24)
		for _, k := range strings.Fields(tt.keys) {
			m.Update(screen.KeyMsg{Key: k})
		}
		if got := f.list(); !slices.Equal(got, tt.want) {
			t.Errorf("%s asks for %+v, want %+v", tt.keys, got, tt.want)
		}
	}
}

func TestSoundCheckQuits(t *testing.T) {
	t.Parallel()
	m, f := newScreen(80, 24)
	_, cmd := m.Update(screen.KeyMsg{Key: "q"})
	if cmd == nil || !f.quit {
		t.Fatal("q does not quit")
	}
	if _, ok := cmd().(tea.QuitMsg); !ok {
		t.Error("q does not end the program")
	}
}

func TestSoundCheckMouse(t *testing.T) {
	t.Parallel()
	m, _ := newScreen(120, 36)
	m.View()
	m.Update(screen.MouseMsg{X: 5, Y: m.lay.list.Y + 1 + 4})
	if m.list.Mark != 4 {
		t.Errorf("line %d is marked, want 4", m.list.Mark)
	}
	m.Update(screen.MouseMsg{X: 5, Y: m.lay.list.Y + 1 + 30})
	m.Update(screen.MouseMsg{X: 110, Y: m.lay.list.Y + 2})
	if m.list.Mark != 4 {
		t.Errorf("a press elsewhere marked line %d", m.list.Mark)
	}
}

// TestUrgentKeysOfTheCheck: stop and gain reach the desk as soon as they arrive,
// and not again by the screen.
func TestUrgentKeysOfTheCheck(t *testing.T) {
	t.Parallel()
	m, f := newScreen(80, 24)
	for key, want := range map[string]desk.Action{"space": desk.Stop, "w": desk.Gain} {
		msg := m.Arrived(screen.Input{Key: key}, screentest.Epoch)
		if got := f.list(); len(got) != 1 || got[0].Action != want {
			t.Errorf("%s asks for %+v", key, got)
		}
		if m.Update(msg); len(f.did) > 0 {
			t.Errorf("%s was done again: %+v", key, f.list())
		}
	}
	if m.Arrived(screen.Input{Key: "enter"}, screentest.Epoch); len(f.did) > 0 {
		t.Errorf("enter did not wait for the screen: %+v", f.list())
	}
}

// TestStopWins: nothing plays that was asked for before a stop, however late the
// screen comes to it.
func TestStopWins(t *testing.T) {
	t.Parallel()
	for _, key := range []string{"enter", "0", "n", "p"} {
		m, f := newScreen(80, 24)
		before := m.Arrived(screen.Input{Key: key}, screentest.Epoch)
		m.Arrived(screen.Input{Key: "space"}, screentest.Epoch.Add(1))
		after := m.Arrived(screen.Input{Key: key}, screentest.Epoch.Add(2))
		f.list()
		if m.Update(before); len(f.did) > 0 {
			t.Errorf("%s, then space: %+v after the stop", key, f.list())
		}
		if m.Update(after); len(f.did) != 1 {
			t.Errorf("space, then %s: %+v", key, f.list())
		}
	}
}

func TestMeterMarks(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		peak, held float64
		want       string
	}{
		{0, 0, "▯▯▯▯▯▯▯▯▯▯▯▯"},
		{1, 1, "▮▮▮▮▮▮▮▮▮▮▮┃"},
		{math.Pow(10, -30.0/20), 0, "▮▮▮▮▮▮▯▯▯▯▯▯"}, // half of 60 dB
		{0, math.Pow(10, -30.0/20), "▯▯▯▯▯┃▯▯▯▯▯▯"},
		{2, 4, "▮▮▮▮▮▮▮▮▮▮▮┃"},
	} {
		var c screen.Canvas
		c.Resize(tea.WindowSizeMsg{Width: 12, Height: 1})
		c.Begin(screen.Look{})
		drawLevel(&c, screen.Rect(0, 0, 12, 1), tt.peak, tt.held)
		if got := c.Render(screen.PlainTheme()); got != tt.want {
			t.Errorf("%g held %g: %s, want %s", tt.peak, tt.held, got, tt.want)
		}
	}
}

func BenchmarkSoundCheckFrame(b *testing.B) {
	m, f := newScreen(200, 60)
	f.plays(6, 61*time.Second, 142*time.Second)
	m.look(screentest.Epoch)
	m.Theme = screen.NewTheme("dark", termenv.TrueColor)
	for b.Loop() {
		m.View()
	}
}
