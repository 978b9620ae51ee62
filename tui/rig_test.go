package tui

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/timebase"
	"drylane/testdata"

	"github.com/muesli/termenv"
)

// updating reports whether the golden screens are to be written anew; the flag
// -update comes with teatest.
func updating() bool { return flag.Lookup("update").Value.String() == "true" }

// fakeRun is a run that the test moves by hand.
type fakeRun struct {
	t    *show.Transport
	snap deck.Snapshot
	did  []show.ScriptAction
	quit bool

	listen []int
}

func (f *fakeRun) Snapshot() *deck.Snapshot {
	s := f.snap
	s.Transport = *f.t
	s.Rendered = f.t.Heard() + 4800
	return &s
}
func (f *fakeRun) Do(a show.ScriptAction, at time.Time) { f.did = append(f.did, a) }
func (f *fakeRun) SetReports([2]float64)                {}
func (f *fakeRun) Listen(source int)                    { f.listen = append(f.listen, source) }
func (f *fakeRun) Quit()                                { f.quit = true }

// epoch is when every test run is looked at.
var epoch = time.Date(2026, 11, 25, 21, 0, 0, 0, time.UTC)

const demoRate = 44100

// testWave is music that swells and beats.
func testWave(from, to timebase.Frame) (peak, rms [2]float32, ok bool) {
	t := float64(from+to) / 2 / demoRate
	swell := 0.35 + 0.3*math.Sin(t/7)
	beat := math.Exp(-5 * math.Mod(t, 0.8))
	l, r := float32(swell+0.3*beat), float32(swell*0.9+0.25*beat)
	return [2]float32{min(1, l*1.3), min(1, r*1.3)}, [2]float32{l * 0.6, r * 0.6}, true
}

// A scene is a console over the demo show, at some moment.
type scene struct {
	*Console
	run *fakeRun
}

func newScene(t testing.TB, w, h int) *scene {
	t.Helper()
	sh, err := show.Load(testdata.Demo())
	if err != nil {
		t.Fatal(err)
	}
	plan := show.NewPlan(sh.Cues, sh.Console, demoRate, timebase.FrameAt(135*time.Second, demoRate))
	return sceneOf(t, sh, plan, w, h)
}

func sceneOf(t testing.TB, sh *show.Show, plan *show.Plan, w, h int) *scene {
	t.Helper()
	keys, err := NewKeymap(nil)
	if err != nil {
		t.Fatal(err)
	}
	f := &fakeRun{t: show.NewTransport(plan)}
	f.snap = deck.Snapshot{Wall: epoch, Since: epoch.Add(-42 * time.Second), Speed: 1,
		Output: "PulseAudio, Test Speakers", Latency: 23 * time.Millisecond, Logged: 17, Level: [2]float64{0.5, 0.3}}
	m := NewConsole(Setup{Show: sh, Plan: plan, Run: f, Wave: testWave, Keys: keys, Theme: PlainTheme(),
		Themes: func(n string) *Theme { return NewTheme(n, termenv.TrueColor) }, Now: func() time.Time { return epoch }})
	m.width, m.height = w, h
	m.arrange()
	return &scene{m, f}
}

// do gives the transport a command at a moment of the music.
func (s *scene) do(a show.Action, at time.Duration, c show.Command) {
	c.Action = a
	if _, err := s.run.t.Do(c, timebase.FrameAt(at, demoRate), nil); err != nil {
		panic(err)
	}
	s.look(epoch)
}

// runTo arms, starts and runs to a moment of the music.
func (s *scene) runTo(at time.Duration) {
	if s.run.t.State() == show.Safe {
		s.do(show.Arm, 0, show.Command{})
		s.do(show.Start, 0, show.Command{})
	}
	s.run.t.Advance(timebase.FrameAt(at, demoRate), nil)
	if s.run.t.State() == show.Running {
		s.run.snap.Since = epoch.Add(-at)
	}
	s.look(epoch)
}

// tapAt adds a tap set against the nearest effect.
func (s *scene) tapAt(at time.Duration) {
	f := timebase.FrameAt(at, demoRate)
	tap := deck.Tap{At: f, Cue: -1, Nudge: s.run.t.Asked()}
	if cue, late, ok := s.run.t.NearestEffect(f, -1); ok {
		tap.Cue, tap.Late = cue, late
	}
	s.run.snap.Taps = append(s.run.snap.Taps, tap)
	s.look(epoch)
}

func (s *scene) press(keys ...string) {
	for _, k := range keys {
		s.Update(KeyMsg{Key: k, At: epoch})
	}
}

// golden compares a screen with the file of that name.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("..", "testdata", "screens", name+".txt")
	if updating() {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(got+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got+"\n" == string(want) {
		return
	}
	g, w := strings.Split(got, "\n"), strings.Split(strings.TrimSuffix(string(want), "\n"), "\n")
	for i := range max(len(g), len(w)) {
		var a, b string
		if i < len(g) {
			a = g[i]
		}
		if i < len(w) {
			b = w[i]
		}
		if a != b {
			t.Errorf("%s line %d:\n got %s\nwant %s", name, i+1, a, b)
		}
	}
}

func (s *scene) size() string { return fmt.Sprintf("%dx%d", s.width, s.height) }

// demoSteps is the script of the demo's shooter.
func demoSteps() []show.ScriptStep {
	f, err := os.Open(filepath.Join("..", "cmd", "drylane", "demo.txt"))
	if err != nil {
		panic(err)
	}
	defer f.Close()
	steps, err := show.ParseScript("demo.txt", f)
	if err != nil {
		panic(err)
	}
	return steps
}

var sizes = [][2]int{{80, 24}, {120, 36}, {200, 60}}

// scenes are the screens that have goldens.
var scenes = map[string]func(*scene){
	"safe":  func(s *scene) {},
	"armed": func(s *scene) { s.do(show.Arm, 0, show.Command{}) },
	"running": func(s *scene) {
		s.runTo(41200 * time.Millisecond)
	},
	"nudged": func(s *scene) {
		s.runTo(41150 * time.Millisecond)
		s.do(show.Nudge, 41150*time.Millisecond, show.Command{Step: 300 * time.Millisecond})
	},
	"taps": func(s *scene) {
		s.runTo(60 * time.Second)
		for _, step := range demoSteps() {
			if step.Do.Kind == show.KindTap && step.At < 60*time.Second {
				s.tapAt(step.At)
			}
		}
	},
	"held": func(s *scene) {
		s.runTo(58900 * time.Millisecond)
		s.do(show.Hold, 58900*time.Millisecond, show.Command{Reason: "person in the fallout area"})
		s.run.snap.Since = epoch.Add(-1200 * time.Millisecond)
		s.run.snap.Message = deck.Message{Urgency: deck.Alarm, Text: "HELD: person in the fallout area", At: epoch}
		s.look(epoch)
		s.press("t")
	},
	"down": func(s *scene) {
		s.runTo(50 * time.Second)
		s.do(show.StandDown, 50*time.Second, show.Command{Group: show.Group{By: show.LanesByPosition, Name: "Quay"}})
		s.press("down", ".")
	},
	"whole": func(s *scene) { s.runTo(70 * time.Second); s.press("0", "v") },
	"lost": func(s *scene) {
		s.runTo(30 * time.Second)
		s.do(show.Hold, 30*time.Second, show.Command{Reason: "the sound device went away"})
		s.run.snap.Lost = true
		s.run.snap.Message = deck.Message{Urgency: deck.Alarm, Text: "HELD: the sound device went away", At: epoch}
		s.look(epoch)
	},
	"ended": func(s *scene) { s.runTo(200 * time.Second) },
	"cue":   func(s *scene) { s.runTo(20 * time.Second); s.press("down", "down", ".", ".") },
	"reviewed": func(s *scene) {
		for k := range 60 {
			s.marks.Accents = append(s.marks.Accents, Accent{timebase.FrameAt(time.Duration(22800+400*k)*time.Millisecond, demoRate), k%2 == 0})
		}
		s.marks.Doubts = []int{66, 97}
		s.runTo(41200 * time.Millisecond)
		s.press("w")
	},
	"listening": func(s *scene) {
		s.Timecode = func(f timebase.Frame) string { return "01:00:41:05 @25" }
		s.runTo(41200 * time.Millisecond)
		s.run.snap.Listening, s.run.snap.Source = "beacon.wav", 1
		s.run.snap.Message = deck.Message{Text: "listening to beacon.wav, not the music, from 0:41.000", At: epoch}
		s.look(epoch)
	},
	"beside": func(s *scene) {
		s.Timecode = func(f timebase.Frame) string { return "00:59:59;29 @29.97 drop" }
		s.runTo(41200 * time.Millisecond)
		s.run.snap.Second = &deck.SecondNow{Name: "timecode.wav", Output: "PulseAudio, Booth", Off: -120 * time.Microsecond}
		s.look(epoch)
	},
	"beside-lost": func(s *scene) {
		s.runTo(41200 * time.Millisecond)
		s.run.snap.Second = &deck.SecondNow{Name: "timecode.wav", Lost: true}
		s.run.snap.Message = deck.Message{Urgency: deck.Alarm, Text: "beside the music: timecode.wav is lost; the music goes on", At: epoch}
		s.look(epoch)
	},
	"help":  func(s *scene) { s.press("?") },
	"quit":  func(s *scene) { s.runTo(20 * time.Second); s.press("q") },
	"first": func(s *scene) { s.overlay = firstOverlay },
	"briefing": func(s *scene) {
		s.Brief = &Briefing{Foot: "Real procedures come from the operator in charge and local rules.",
			Text: "You run the show from the desk. The spotters see what you do not.\n\nWhen a spotter calls a person in the fallout area you hold at once. You resume when the spotter has called clear and the sky is clear of what was lit."}
		s.overlay = briefOverlay
	},
	"radio": func(s *scene) {
		s.runTo(58900 * time.Millisecond)
		s.run.snap.Radio = []deck.RadioCall{
			{At: epoch.Add(-95 * time.Second), From: "spotter", Text: "wind five metres a second, steady"},
			{At: epoch.Add(-2 * time.Second), From: "Mole", Text: "Mole to desk, a person in the fallout area, I say again, a person in the fallout area"},
		}
		s.look(epoch)
	},
}

func TestScreens(t *testing.T) {
	names := make([]string, 0, len(scenes))
	for name := range scenes {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, size := range sizes {
		for _, name := range names {
			s := newScene(t, size[0], size[1])
			scenes[name](s)
			got := s.View()
			golden(t, fmt.Sprintf("%s-%s", name, s.size()), got)
			lines := strings.Split(got, "\n")
			if len(lines) != size[1] {
				t.Errorf("%s at %s has %d lines", name, s.size(), len(lines))
			}
			for i, l := range lines {
				if w := len([]rune(l)); w > size[0] {
					t.Errorf("%s at %s: line %d is %d columns wide", name, s.size(), i+1, w)
				}
			}
		}
	}
}

func TestTooSmall(t *testing.T) {
	s := newScene(t, 50, 12)
	s.runTo(30 * time.Second)
	golden(t, "toosmall-50x12", s.View())
}

// roles is the screen with a letter for the style of each column under each
// line, so that what stands out can be read in a text file.
func (s *scene) roles() string {
	const letters = "nSqf01234oRHA!gN|wepaIlBbgLD#kKsHd-mT"
	var b strings.Builder
	lines := strings.Split(s.View(), "\n")
	for y, line := range lines {
		row := make([]byte, s.canvas.w)
		for x := range row {
			row[x] = letters[s.canvas.at(x, y).style]
		}
		fmt.Fprintf(&b, "%s\n%s\n", line, row)
	}
	return strings.TrimSuffix(b.String(), "\n")
}

// TestRoles pins which style each part of the screen has.
func TestRoles(t *testing.T) {
	for _, name := range []string{"running", "held", "down"} {
		s := newScene(t, 80, 24)
		scenes[name](s)
		golden(t, "roles-"+name+"-80x24", s.roles())
	}
}

// TestDocumentsShowTheScreens: the captures in README and DEVELOPERS are the
// golden screens; -update writes them there.
func TestDocumentsShowTheScreens(t *testing.T) {
	for doc, screen := range map[string]string{"README.md": "taps-120x36", "DEVELOPERS.md": "held-80x24"} {
		path := filepath.Join("..", doc)
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		shot, err := os.ReadFile(filepath.Join("..", "testdata", "screens", screen+".txt"))
		if err != nil {
			t.Fatal(err)
		}
		begin, end := "<!-- screen "+screen+" -->\n```\n", "```\n<!-- end -->\n"
		i := strings.Index(string(text), begin)
		j := strings.Index(string(text), end)
		if i < 0 || j < i {
			t.Errorf("%s has no place for the screen %s", doc, screen)
			continue
		}
		want := string(text[:i]) + begin + string(shot) + string(text[j:])
		if updating() {
			os.WriteFile(path, []byte(want), 0o644)
		} else if want != string(text) {
			t.Errorf("%s does not show the screen %s as it is", doc, screen)
		}
	}
}
