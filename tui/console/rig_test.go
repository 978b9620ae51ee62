package console

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/playback/accents"
	"drylane/playback/crew"
	"drylane/playback/deck"
	"drylane/playback/follow"
	"drylane/show"
	roles "drylane/show/crew"
	"drylane/show/drift"
	"drylane/show/timebase"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"
)

// testWave is music that swells and beats.
func testWave(from, to timebase.Frame) (peak, rms [2]float32, ok bool) {
	t := float64(from+to) / 2 / screentest.Rate
	swell := 0.35 + 0.3*math.Sin(t/7)
	beat := math.Exp(-5 * math.Mod(t, 0.8))
	l, r := float32(swell+0.3*beat), float32(swell*0.9+0.25*beat)
	return [2]float32{min(1, l*1.3), min(1, r*1.3)}, [2]float32{l * 0.6, r * 0.6}, true
}

// A scene is a console over the demo show, at some moment.
type scene struct {
	*Screen
	run *screentest.Run
}

func newScene(t testing.TB, w, h int) *scene {
	t.Helper()
	sh, plan := screentest.Demo(t)
	return sceneOf(t, sh, plan, w, h)
}

func sceneOf(t testing.TB, sh *show.Show, plan *show.Plan, w, h int) *scene {
	t.Helper()
	keys, err := screen.NewKeymap(Keys, nil)
	if err != nil {
		t.Fatal(err)
	}
	run := screentest.NewRun(plan)
	m := New(Setup{Show: sh, Plan: plan, Run: run, Wave: testWave, Keys: keys, Look: screen.Look{Theme: screen.PlainTheme(), Themes: func(n string) *screen.Theme { return screen.NewTheme(n, termenv.TrueColor) }}, Now: func() time.Time { return screentest.Epoch }})
	m.places.spawn = func(f func()) { f() }
	m.Update(tea.WindowSizeMsg{Width: w, Height: h})
	return &scene{m, run}
}

// do gives the transport a command at a moment of the music.
func (s *scene) do(a show.Action, at time.Duration, c show.Command) {
	s.run.Command(a, at, c)
	s.look(screentest.Epoch)
}

// runTo arms, starts and runs to a moment of the music.
func (s *scene) runTo(at time.Duration) {
	s.run.To(at)
	s.look(screentest.Epoch)
}

// cutAt runs to a moment of the music and cuts there, a while ago.
func (s *scene) cutAt(at time.Duration) {
	s.runTo(at)
	s.run.Snap.Since = screentest.Epoch.Add(-42 * time.Second)
	s.do(show.Cut, at, show.Command{Reason: "a rack has shifted"})
}

// sayOfAll says that the Mole was seen, but for cue 10.
func (s *scene) sayOfAll() {
	t := s.run.T
	said := s.run.Snap.Said
	for _, w := range []show.Saying{{Saw: show.DidNotGo, Cue: 9}, {Saw: show.SeenOrHeard, Position: "Mole"}} {
		next, _, err := said.With(w, len(s.Plan.Cues), func(i int) string { return s.cue(i).Position }, t.Fired)
		if err != nil {
			panic(err)
		}
		said = next
	}
	s.run.Snap.Said = said
	s.look(screentest.Epoch)
}

// tapAt adds a tap set against the nearest effect.
func (s *scene) tapAt(at time.Duration) {
	f := timebase.FrameAt(at, screentest.Rate)
	tap := deck.Tap{At: f, Cue: -1, Nudge: s.run.T.Asked()}
	if cue, late, ok := s.run.T.NearestEffect(f, -1); ok {
		tap.Cue, tap.Late = cue, late
	}
	s.run.Snap.Taps = append(s.run.Snap.Taps, tap)
	s.look(screentest.Epoch)
}

func (s *scene) press(keys ...string) {
	for _, k := range keys {
		s.Update(s.Arrived(screen.Input{Key: k}, screentest.Epoch))
	}
}

// turn makes keys be for something else.
func (s *scene) turn(to mode) {
	s.settle(func(h *hand) { h.mode = to })
	s.catchUp()
}

func (s *scene) size() string { return fmt.Sprintf("%dx%d", s.canvas.W, s.canvas.H) }

// followed makes the run one that follows timecode, or music, at a place.
func (s *scene) followed(at time.Duration, now follow.Now) {
	name := "timecode on PulseAudio, Line In"
	if now.Music {
		name = "music on PulseAudio, Line In"
	}
	now.Read = !now.Music
	s.run.Snap.Follow = &deck.FollowNow{Name: name, Now: now, Place: timebase.FrameAt(at, screentest.Rate)}
	s.run.Snap.Output, s.run.Snap.Soundless, s.run.Snap.Latency = "nothing: follows "+name, true, 0
	s.look(screentest.Epoch)
}

// demoSteps is the script of the demo's shooter.
func demoSteps() []show.ScriptStep {
	f, err := os.Open(filepath.Join(screentest.Root, "cmd", "drylane", "demo.txt"))
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
		s.run.Snap.Since = screentest.Epoch.Add(-1200 * time.Millisecond)
		s.run.Snap.Message = deck.Message{Urgency: deck.Alarm, Text: "HELD: person in the fallout area", At: screentest.Epoch}
		s.run.Snap.Ticked = 1
		s.look(screentest.Epoch)
	},
	"salvo": func(s *scene) {
		s.runTo(66 * time.Second)
		s.do(show.Nudge, 66*time.Second, show.Command{Step: 5 * time.Second, Anyway: true})
		s.runTo(66400 * time.Millisecond)
		s.run.Snap.Message = deck.Message{Urgency: deck.Alarm, Text: "19 cues were spread over 1.70 s: cues 108 to 126", At: screentest.Epoch}
		s.look(screentest.Epoch)
	},
	"salvo-held": func(s *scene) {
		s.runTo(66 * time.Second)
		s.do(show.Hold, 66*time.Second, show.Command{})
		s.do(show.Nudge, 66*time.Second, show.Command{Step: 10 * time.Second})
		s.run.Snap.Again = deck.Again{Action: show.Resume, Why: "39 cues would come due at once, cues 108 to 146; 3 still up, 4 lines unticked", Until: screentest.Epoch.Add(time.Second)}
		s.look(screentest.Epoch)
	},
	"late": func(s *scene) { // a mark that is over, and one that is not
		s.runTo(58900 * time.Millisecond)
		s.do(show.Hold, 58900*time.Millisecond, show.Command{Reason: "person in the fallout area"})
		s.run.Snap.Since = screentest.Epoch.Add(-5 * time.Second)
		s.run.Snap.Late = []deck.LateOne{{Cue: 99, At: screentest.Epoch.Add(-4 * time.Second)}, {Cue: 98, At: screentest.Epoch.Add(-time.Second)}}
		s.look(screentest.Epoch)
	},
	"crew": func(s *scene) { s.Others, s.panel = &fakeCrew{Lines: fakeLines()}, panelCrew },
	"crew-links": func(s *scene) {
		s.Others, s.panel = &fakeCrew{Lines: fakeLines()}, panelCrew
		s.press("C", "tab", "tab")
	},
	"crew-running": func(s *scene) {
		s.Others = &fakeCrew{Lines: fakeLines()}
		s.runTo(41200 * time.Millisecond)
		s.panel = panelCrew
	},
	"crew-listened": func(s *scene) {
		s.Others = &fakeCrew{Lines: fakeLines(), Listened: &crew.Listened{Taps: 24, Places: heardByPlace()}}
		s.runTo(41200 * time.Millisecond)
		s.panel = panelDrift
	},
	"crew-listened-apart": func(s *scene) {
		places := heardByPlace()
		places.Verdict = drift.Verdict{Code: drift.PlacesApart, Lane: "Harbour wall north end", Text: "cannot tell: by Harbour wall north end the cues are 0.25 s earlier than by the other places, more than sound explains: look at where that is and at the delays of the speakers"}
		s.Others = &fakeCrew{Lines: fakeLines(), Listened: &crew.Listened{Taps: 24, Places: places}}
		s.runTo(41200 * time.Millisecond)
		s.panel = panelDrift
	},
	"crew-held": func(s *scene) {
		b := &fakeCrew{Lines: fakeLines()}
		for i := range b.Lines {
			b.Lines[i].Answer, b.Lines[i].After = []roles.Answer{roles.Awaited, roles.Answered, roles.NotTold}[i], 800*time.Millisecond
		}
		s.Others = b
		s.runTo(58900 * time.Millisecond)
		s.do(show.Hold, 58900*time.Millisecond, show.Command{Member: "Ben", Reason: "person in the fallout area"})
		s.run.Snap.Since = screentest.Epoch.Add(-8 * time.Second)
		s.look(screentest.Epoch)
	},
	"crew-asks": func(s *scene) {
		b := &fakeCrew{Lines: fakeLines(), Asks: "Ben asks to stand Beacon down"}
		for i := range b.Lines {
			b.Lines[i].Answer = []roles.Answer{roles.Awaited, roles.Awaited, roles.NotTold}[i]
		}
		b.Lines[1].Asks = true
		s.Others = b
		s.runTo(58900 * time.Millisecond)
		s.do(show.Hold, 58900*time.Millisecond, show.Command{Member: "Ben", Reason: "person in the fallout area"})
		s.run.Snap.Since = screentest.Epoch.Add(-8 * time.Second)
		s.run.Snap.Message = deck.Message{Urgency: deck.Alarm, Text: "HELD: Ben: person in the fallout area", At: s.run.Snap.Since}
		s.look(screentest.Epoch)
		s.panel = panelCrew
	},
	"crew-lost": func(s *scene) {
		b := &fakeCrew{Lines: fakeLines()}
		b.Lines[1].Lost = 4 * time.Second
		s.Others = b
		s.runTo(41200 * time.Millisecond)
		s.panel = panelCrew
	},
	"crew-refused": func(s *scene) {
		b := &fakeCrew{Lines: fakeLines(), Forbids: "safety Ada refuses it: somebody is in the fallout area"}
		b.Lines[0].Objects = "somebody is in the fallout area"
		s.Others = b
		s.runTo(58900 * time.Millisecond)
		s.do(show.Hold, 58900*time.Millisecond, show.Command{})
		s.choosePanel(panelCrew)
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
		s.run.Snap.Lost = true
		s.run.Snap.Message = deck.Message{Urgency: deck.Alarm, Text: "HELD: the sound device went away", At: screentest.Epoch}
		s.look(screentest.Epoch)
	},
	"ended": func(s *scene) { s.runTo(200 * time.Second) },
	"cue":   func(s *scene) { s.runTo(20 * time.Second); s.press("down", "down", ".", ".") },
	"reviewed": func(s *scene) {
		for k := range 60 {
			s.marks.Accents = append(s.marks.Accents, accents.Mark{At: timebase.FrameAt(time.Duration(22800+400*k)*time.Millisecond, screentest.Rate), Strong: k%2 == 0})
		}
		s.marks.Doubts = []int{66, 97}
		s.runTo(41200 * time.Millisecond)
		s.press("w")
	},
	"listening": func(s *scene) {
		s.Timecode = func(f timebase.Frame) string { return "01:00:41:05 @25" }
		s.runTo(41200 * time.Millisecond)
		s.run.Snap.Listening, s.run.Snap.Source = "beacon.wav", 1
		s.run.Snap.Message = deck.Message{Text: "listening to beacon.wav, not the music, from 0:41.000", At: screentest.Epoch}
		s.look(screentest.Epoch)
	},
	"beside": func(s *scene) {
		s.Timecode = func(f timebase.Frame) string { return "00:59:59;29 @29.97 drop" }
		s.runTo(41200 * time.Millisecond)
		s.run.Snap.Second = &deck.SecondNow{Name: "timecode.wav", Output: "PulseAudio, Booth", Off: -120 * time.Microsecond}
		s.look(screentest.Epoch)
	},
	"beside-lost": func(s *scene) {
		s.runTo(41200 * time.Millisecond)
		s.run.Snap.Second = &deck.SecondNow{Name: "timecode.wav", Lost: true}
		s.run.Snap.Message = deck.Message{Urgency: deck.Alarm, Text: "beside the music: timecode.wav is lost; the music goes on", At: screentest.Epoch}
		s.look(screentest.Epoch)
	},
	"beside-silent": func(s *scene) {
		s.runTo(41200 * time.Millisecond)
		s.run.Snap.Second = &deck.SecondNow{Name: "timecode.wav", Output: "PulseAudio, Booth", Silent: true}
		s.run.Snap.Message = deck.Message{Urgency: deck.Alarm, Text: "second output: timecode.wav is silent, the music goes on: it is suspended", At: screentest.Epoch}
		s.look(screentest.Epoch)
	},
	"disk-behind": func(s *scene) {
		s.runTo(41200 * time.Millisecond)
		s.run.Snap.DiskBehind = 3400 * time.Millisecond
		s.look(screentest.Epoch)
	},
	"not-on-disk": func(s *scene) {
		s.runTo(58900 * time.Millisecond)
		s.do(show.Hold, 58900*time.Millisecond, show.Command{Reason: "person in the fallout area"})
		s.run.Snap.Since = screentest.Epoch.Add(-1200 * time.Millisecond)
		s.run.Snap.DiskBehind, s.run.Snap.Unwritten = 3400*time.Millisecond, true
		s.look(screentest.Epoch)
	},
	"follows": func(s *scene) {
		s.runTo(41200 * time.Millisecond)
		s.followed(41200*time.Millisecond, follow.Now{State: follow.Carried, Rate: timebase.FPS2997Drop, Speed: 1.04, Label: timebase.Timecode{H: 1, S: 41, F: 5, Drop: true}})
	},
	"follows-armed": func(s *scene) {
		s.do(show.Arm, 0, show.Command{})
		s.followed(-10*time.Second, follow.Now{State: follow.Locked, Rate: timebase.FPS25, Speed: 1, Label: timebase.Timecode{M: 59, S: 50}})
	},
	"follows-held": func(s *scene) {
		s.runTo(58900 * time.Millisecond)
		s.do(show.Hold, 58900*time.Millisecond, show.Command{By: show.ByPlayer, Cause: show.CauseCodeStopped})
		s.followed(58900*time.Millisecond, follow.Now{State: follow.Lost, Why: follow.Stopped, Rate: timebase.FPS25, Label: timebase.Timecode{H: 1, S: 58, F: 20}})
	},
	"follows-elsewhere": func(s *scene) {
		s.runTo(58900 * time.Millisecond)
		s.do(show.Hold, 58900*time.Millisecond, show.Command{By: show.ByPlayer, Cause: show.CauseCodeJumped})
		s.followed(84300*time.Millisecond, follow.Now{State: follow.Locked, Rate: timebase.FPS2997Drop, Speed: 1, Label: timebase.Timecode{H: 1, M: 1, S: 24, F: 8, Drop: true}})
		s.run.Snap.Follow.Late = true
		s.look(screentest.Epoch)
	},
	"follows-music": func(s *scene) {
		s.runTo(41200 * time.Millisecond)
		s.followed(41200*time.Millisecond, follow.Now{State: follow.Locked, Music: true, Speed: 1})
	},
	"follows-music-unsure": func(s *scene) {
		s.do(show.Arm, 0, show.Command{})
		s.followed(0, follow.Now{Music: true, Why: follow.Unsure, Times: 3})
	},
	"follows-music-held": func(s *scene) {
		s.runTo(58900 * time.Millisecond)
		s.do(show.Hold, 58900*time.Millisecond, show.Command{By: show.ByPlayer, Cause: show.CauseMusicStopped})
		s.followed(58900*time.Millisecond, follow.Now{State: follow.Lost, Music: true, Why: follow.Stopped})
	},
	"follows-music-elsewhere": func(s *scene) {
		s.runTo(56800 * time.Millisecond)
		s.do(show.Hold, 56800*time.Millisecond, show.Command{By: show.ByPlayer, Cause: show.CauseMusicStopped})
		s.followed(78100*time.Millisecond, follow.Now{State: follow.Locked, Music: true, Speed: 1})
		s.run.Snap.Follow.Late = true
		s.run.Snap.Message = deck.Message{Urgency: deck.Alarm, Text: "HELD: " + show.CauseMusicStopped.Sentence(0, 0), At: s.run.Snap.Since}
		s.look(screentest.Epoch)
	},
	"cut-places": func(s *scene) {
		s.Changes = func() ([]time.Duration, bool) {
			return []time.Duration{8 * time.Second, 41400 * time.Millisecond, 45 * time.Second, 48400 * time.Millisecond, 51200 * time.Millisecond, 79 * time.Second, 92200 * time.Millisecond}, true
		}
		s.cutAt(50 * time.Second)
		s.press("u", "down")
		s.look(screentest.Epoch)
	},
	"places-by-hand": func(s *scene) { // inside a burn, with a longer run-up
		s.cutAt(50 * time.Second)
		s.press("u", "+", "+")
		s.press(strings.Split("0:59.4", "")...)
		s.look(screentest.Epoch)
	},
	"re-entered": func(s *scene) {
		s.cutAt(50 * time.Second)
		s.do(show.Reenter, 0, show.Command{From: 60 * time.Second, RunUp: 4 * time.Second})
		s.do(show.Start, 0, show.Command{})
		s.runTo(66 * time.Second)
		s.press("tab", "tab")
	},
	"seen": func(s *scene) {
		s.runTo(41200 * time.Millisecond)
		s.press("down", "y", ",")
	},
	"cut": func(s *scene) { s.cutAt(50 * time.Second) },
	"search": func(s *scene) {
		s.cutAt(50 * time.Second)
		s.sayOfAll()
		s.press("x")
	},
	"ended-search": func(s *scene) {
		s.runTo(20 * time.Second)
		s.do(show.StandDown, 20*time.Second, show.Command{Group: show.Group{By: show.LanesByPosition, Name: "Slip"}})
		s.runTo(200 * time.Second)
		s.sayOfAll()
		s.look(screentest.Epoch)
	},
	"help":  func(s *scene) { s.press("?") },
	"quit":  func(s *scene) { s.runTo(20 * time.Second); s.press("q") },
	"first": func(s *scene) { s.turn(firstMode) },
	"briefing": func(s *scene) {
		s.Brief = &Briefing{Foot: "Real procedures come from the operator in charge and local rules.",
			Text: "You run the show from the desk. The spotters see what you do not.\n\nWhen a spotter calls a person in the fallout area you hold at once. You resume when the spotter has called clear and the list has nothing up of what was lit."}
		s.turn(briefMode)
	},
	"radio": func(s *scene) {
		s.runTo(58900 * time.Millisecond)
		s.run.Snap.Radio = []deck.RadioCall{
			{At: screentest.Epoch.Add(-95 * time.Second), From: "spotter", Text: "wind five metres a second, steady"},
			{At: screentest.Epoch.Add(-2 * time.Second), From: "Mole", Text: "Mole to desk, a person in the fallout area, I say again, a person in the fallout area"},
		}
		s.look(screentest.Epoch)
	},
}

func TestScreens(t *testing.T) {
	t.Parallel()
	names := make([]string, 0, len(scenes))
	for name := range scenes {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, size := range screentest.Sizes {
		for _, name := range names {
			s := newScene(t, size[0], size[1])
			scenes[name](s)
			got := s.View()
			screentest.Golden(t, fmt.Sprintf("%s-%s", name, s.size()), got)
			screentest.Fits(t, name, got, size[0], size[1])
		}
	}
}

func TestTooSmall(t *testing.T) {
	t.Parallel()
	s := newScene(t, 50, 12)
	s.runTo(30 * time.Second)
	screentest.Golden(t, "toosmall-50x12", s.View())
}

// roles is the screen with a letter for the style of each column under each
// line, so that what stands out can be read in a text file.
func (s *scene) roles() string {
	const letters = "nSqf01234oRHA!gN|wepaIlBbgLD#kKsHd-mT"
	var b strings.Builder
	lines := strings.Split(s.View(), "\n")
	for y, line := range lines {
		row := make([]byte, s.canvas.W)
		for x := range row {
			row[x] = letters[s.canvas.At(x, y).Style]
		}
		fmt.Fprintf(&b, "%s\n%s\n", line, row)
	}
	return strings.TrimSuffix(b.String(), "\n")
}

// TestRoles pins which style each part of the screen has.
func TestRoles(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"running", "held", "down"} {
		s := newScene(t, 80, 24)
		scenes[name](s)
		screentest.Golden(t, "roles-"+name+"-80x24", s.roles())
	}
}

// TestDocumentsShowTheScreens: the captures in README and DEVELOPERS are golden
// screens; -update writes them there.
func TestDocumentsShowTheScreens(t *testing.T) {
	for _, shot := range []struct {
		doc, scene string
		w, h       int
	}{{"README.md", "taps", 120, 36}, {"DEVELOPERS.md", "held", 80, 24}} {
		s := newScene(t, shot.w, shot.h)
		scenes[shot.scene](s)
		view, name := s.View(), fmt.Sprintf("%s-%dx%d", shot.scene, shot.w, shot.h)
		path := filepath.Join(screentest.Root, shot.doc)
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		begin, end := "<!-- screen "+name+" -->\n```\n", "```\n<!-- end -->\n"
		i := strings.Index(string(text), begin)
		j := strings.Index(string(text), end)
		if i < 0 || j < i {
			t.Errorf("%s has no place for the screen %s", shot.doc, name)
			continue
		}
		want := string(text[:i]) + begin + view + "\n" + string(text[j:])
		if screentest.Updating() {
			os.WriteFile(path, []byte(want), 0o644)
		} else if want != string(text) {
			t.Errorf("%s does not show the screen %s as it is: go test ./tui/console -run Documents -update", shot.doc, name)
		}
	}
}
