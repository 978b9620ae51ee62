package tui

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/desk"
	"drylane/playback/loudness"
	"drylane/show"

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

// checkFiles are the files of an invented show.
var checkFiles = []desk.File{
	{Name: "soundtrack.mp3", Uses: []string{"soundtrack", "player sound desk"},
		Info: playback.Info{Format: "MP3", Rate: 44100, Channels: 2, Frames: 142 * 44100}},
	{Name: "mole-timecode.wav", Uses: []string{"track with left music, right timecode"},
		Info:    playback.Info{Format: "WAV", Rate: 48000, Channels: 1, Frames: 100 * 48000, Truncated: "cut off"},
		Caution: "mole-timecode.wav: the file says it holds 2:22 of music, but it is cut off after 1:40"},
	{Name: "spoken-calls.flac", Uses: []string{"player at the Beacon"},
		Problem: "spoken-calls.flac is missing: it is not in the show folder, and show.toml wants it (player at the Beacon)"},
}

func newCheck(w, h int) (*SoundCheck, *fakeDesk) {
	f := &fakeDesk{did: make(chan desk.Command, 100)}
	silence := loudness.Silence
	f.snap = desk.Snapshot{Source: -1, Gain: [2]desk.Half{desk.LowGain, desk.LowGain}, Level: desk.StartLevel, Momentary: silence, ShortTerm: silence}
	m := NewSoundCheck(CheckSetup{Title: "Harbour Evening", Desk: f, Sources: desk.Sources(checkFiles), Theme: PlainTheme(),
		Themes: func(n string) *Theme { return NewTheme(n, termenv.TrueColor) }, Now: func() time.Time { return epoch }})
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

var checkScenes = map[string]func(*SoundCheck, *fakeDesk){
	"start": func(*SoundCheck, *fakeDesk) {},
	"left": func(m *SoundCheck, f *fakeDesk) {
		f.plays(int(desk.PipsLeft), 12300*time.Millisecond, 0)
		f.snap.Peak[1] = 0
	},
	"polarity": func(m *SoundCheck, f *fakeDesk) {
		f.plays(int(desk.Polarity), 7*time.Second, 0)
		m.mark = int(desk.Polarity)
	},
	"tone": func(m *SoundCheck, f *fakeDesk) {
		f.plays(int(desk.Tone), 65*time.Second, 0)
		f.snap.Gain, f.snap.Mute = [2]desk.Half{desk.Halves(-6.5), desk.LowGain}, [2]bool{false, true}
		f.snap.Peak, f.snap.Held = [2]float64{0.06, 0}, [2]float64{0.06, 0}
		m.mark = int(desk.Tone)
	},
	"file": func(m *SoundCheck, f *fakeDesk) {
		f.plays(6, 61*time.Second, 142*time.Second)
		f.snap.Peak, f.snap.Held = [2]float64{0.95, 0.4}, [2]float64{1, 0.5}
		f.snap.Gain, f.snap.Over, f.snap.Overs = [2]desk.Half{4, 0}, true, 17
		m.mark = 7
	},
	"missing": func(m *SoundCheck, f *fakeDesk) {
		m.mark = 8
		f.snap.Source, f.snap.Message, f.snap.Failure = 8, checkFiles[2].Problem, true
	},
	"silent": func(m *SoundCheck, f *fakeDesk) {
		m.Quiet, m.Warn = true, []string{"3 problems in its files, so it cannot be run as it is"}
	},
	"help": func(m *SoundCheck, f *fakeDesk) { m.key(KeyMsg{Key: "?"}) },
}

func TestSoundCheckScreens(t *testing.T) {
	for _, size := range sizes {
		for name, scene := range checkScenes {
			m, f := newCheck(size[0], size[1])
			scene(m, f)
			m.look(epoch)
			got := m.View()
			golden(t, fmt.Sprintf("soundcheck-%s-%dx%d", name, size[0], size[1]), got)
			lines := strings.Split(got, "\n")
			if len(lines) != size[1] {
				t.Errorf("%s has %d lines, want %d", name, len(lines), size[1])
			}
			for i, l := range lines {
				if w := len([]rune(l)); w > size[0] {
					t.Errorf("%s: line %d is %d columns wide", name, i+1, w)
				}
			}
			if !strings.Contains(got, "nothing is armed") || name != "help" && !strings.Contains(got, "EARS: start low") {
				t.Errorf("%s at %v does not say that nothing is armed, or to start low", name, size)
			}
		}
	}
}

func TestSoundCheckTooSmall(t *testing.T) {
	m, f := newCheck(40, 10)
	f.plays(0, 0, 0)
	m.look(epoch)
	if got := m.View(); !strings.Contains(got, "space stops") || !strings.Contains(got, "SOUND CHECK  playing") {
		t.Errorf("%s", got)
	}
}

// Every window from the smallest to a large one is drawn without a line too
// many or too wide.
func TestSoundCheckAnySize(t *testing.T) {
	m, f := newCheck(80, 24)
	f.plays(6, 61*time.Second, 142*time.Second)
	m.look(epoch)
	for w := 1; w <= 220; w += 7 {
		for h := 1; h <= 70; h += 3 {
			m.Update(tea.WindowSizeMsg{Width: w, Height: h})
			lines := strings.Split(m.View(), "\n")
			for _, l := range lines {
				if len([]rune(l)) > w || len(lines) != h {
					t.Fatalf("%dx%d: %d lines, %q", w, h, len(lines), l)
				}
			}
		}
	}
}

func TestSoundCheckASCII(t *testing.T) {
	for name, scene := range checkScenes {
		m, f := newCheck(80, 24)
		m.ASCII = true
		scene(m, f)
		m.look(epoch)
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
	seen := map[string]Act{}
	for _, b := range CheckKeys {
		if b.Help == "" || len(b.Keys) == 0 {
			t.Errorf("%s has no key or no help", b.Act)
		}
		for _, k := range b.Keys {
			if other, ok := seen[k]; ok {
				t.Errorf("%q stands for %s and %s", k, other, b.Act)
			}
			seen[k] = b.Act
		}
		if _, ok := CheckCommand(b.Act); ok != b.Now {
			t.Errorf("%s: a command of its own %v, done at once %v", b.Act, ok, b.Now)
		}
	}
	if len(checkCommands) != len(slices.DeleteFunc(slices.Clone(CheckKeys), func(b Binding) bool { return !b.Now })) {
		t.Error("a command has no key")
	}
}

func TestSoundCheckCommands(t *testing.T) {
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
		m, f := newCheck(80, 24)
		for _, k := range strings.Fields(tt.keys) {
			m.Update(KeyMsg{Key: k})
		}
		if got := f.list(); !slices.Equal(got, tt.want) {
			t.Errorf("%s asks for %+v, want %+v", tt.keys, got, tt.want)
		}
	}
}

func TestSoundCheckQuits(t *testing.T) {
	m, f := newCheck(80, 24)
	_, cmd := m.Update(KeyMsg{Key: "q"})
	if cmd == nil || !f.quit {
		t.Fatal("q does not quit")
	}
	if _, ok := cmd().(tea.QuitMsg); !ok {
		t.Error("q does not end the program")
	}
}

func TestSoundCheckMouse(t *testing.T) {
	m, _ := newCheck(120, 36)
	m.View()
	m.Update(MouseMsg{X: 5, Y: m.lay.list.y + 1 + 4})
	if m.mark != 4 {
		t.Errorf("line %d is marked, want 4", m.mark)
	}
	m.Update(MouseMsg{X: 5, Y: m.lay.list.y + 1 + 30})
	m.Update(MouseMsg{X: 110, Y: m.lay.list.y + 2})
	if m.mark != 4 {
		t.Errorf("a press elsewhere marked line %d", m.mark)
	}
}

// TestStopActsWhileTheScreenIsStuck: the stop key reaches the desk although
// nothing the screen is sent is taken.
func TestStopActsWhileTheScreenIsStuck(t *testing.T) {
	m, f := newCheck(80, 24)
	r, w := io.Pipe()
	blocked, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		pump(r, m, func(tea.Msg) { <-blocked })
	}()
	for keys, want := range map[string]desk.Action{" ": desk.Stop, "w": desk.Gain} {
		if _, err := io.WriteString(w, keys); err != nil {
			t.Fatal(err)
		}
		select {
		case c := <-f.did:
			if c.Action != want {
				t.Errorf("%q asks for %+v", keys, c)
			}
		case <-time.After(20 * time.Second):
			t.Fatalf("%q was not done while the screen was blocked", keys)
		}
	}
	w.Close()
	close(blocked)
	<-done
}

// newStage is a console that opens a sound check on a fake desk.
func newStage(t *testing.T) (*Stage, *scene, *fakeDesk) {
	s := newScene(t, 80, 24)
	_, f := newCheck(80, 24)
	stage := NewStage(s.Console, func() (CheckSetup, error) {
		return CheckSetup{Desk: f, Sources: desk.Sources(nil), Theme: PlainTheme(), Now: func() time.Time { return epoch }}, nil
	}, nil)
	stage.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	return stage, s, f
}

// The console opens the sound check only while the show is safe; in it no key
// reaches the show.
func TestStage(t *testing.T) {
	stage, s, f := newStage(t)
	s.do(show.Arm, 0, show.Command{})
	stage.Update(KeyMsg{Key: "s"})
	if got := stage.View(); strings.Contains(got, "SOUND CHECK") {
		t.Fatal("the sound check opened over an armed show")
	}
	s.do(show.Cut, 0, show.Command{})
	stage.Update(KeyMsg{Key: "s"})
	if got := stage.View(); !strings.Contains(got, "SOUND CHECK") || !strings.Contains(got, "nothing is armed") {
		t.Fatalf("no sound check:\n%s", got)
	}
	for _, k := range []string{"a", "enter", "space", "left", "d", "j"} {
		msg := stage.arrived(input{key: k}, epoch)
		stage.Update(msg)
	}
	if len(s.run.did) > 0 {
		t.Errorf("the show was asked for %s", s.run.list())
	}
	if got := f.list(); len(got) != 3 || got[0].Action != desk.Play || got[1].Action != desk.Stop || got[2].Action != desk.Wind {
		t.Errorf("the desk was asked for %+v", got)
	}
	stage.Update(tickMsg{at: epoch, gen: stage.gen}) // the run is still watched
	_, cmd := stage.Update(KeyMsg{Key: "q"})
	if !f.quit || s.run.quit {
		t.Errorf("q quits the desk %v, the run %v", f.quit, s.run.quit)
	}
	stage.Update(cmd())
	if got := stage.View(); strings.Contains(got, "SOUND CHECK") || !strings.Contains(got, "SAFE") {
		t.Errorf("after q:\n%s", got)
	}
	stage.Update(stage.arrived(input{key: "a"}, epoch))
	if got := s.run.list(); got != "arm" {
		t.Errorf("back on the console a asks for %q", got)
	}
}

func TestStageSaysWhyNot(t *testing.T) {
	stage, _, _ := newStage(t)
	stage.openCheck = func() (CheckSetup, error) { return CheckSetup{}, errors.New("the sound server does not answer") }
	stage.Update(KeyMsg{Key: "s"})
	if got := stage.View(); !strings.Contains(got, "no sound check: the sound server does not answer") {
		t.Errorf("%s", got)
	}
	stage.Update(KeyMsg{Key: "n"})
	if got := stage.View(); strings.Contains(got, "no sound check") {
		t.Error("the message stays")
	}
}

func TestMeterMarks(t *testing.T) {
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
		var c canvas
		c.reset(12, 1)
		drawLevel(&c, rect{0, 0, 12, 1}, tt.peak, tt.held)
		if got := c.render(PlainTheme()); got != tt.want {
			t.Errorf("%g held %g: %s, want %s", tt.peak, tt.held, got, tt.want)
		}
	}
}

func BenchmarkSoundCheckFrame(b *testing.B) {
	m, f := newCheck(200, 60)
	f.plays(6, 61*time.Second, 142*time.Second)
	m.look(epoch)
	m.Theme = NewTheme("dark", termenv.TrueColor)
	for b.Loop() {
		m.View()
	}
}
