package console

import (
	"fmt"
	"sync/atomic"
	"testing"
	"time"

	"drylane/playback/crew"
	"drylane/show"
	"drylane/show/timebase"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"
)

// bigShow is a show of n cues over half an hour, at six positions.
func bigShow(n int) (*show.Show, *show.Plan) {
	cues := make([]show.Cue, n)
	for i := range cues {
		cues[i] = show.Cue{ID: fmt.Sprint(i + 1), EffectAt: 5*time.Second + time.Duration(i)*29*time.Minute/time.Duration(n),
			Prefire: time.Duration(i%4) * time.Second, Burn: 2 * time.Second, Position: fmt.Sprintf("Position %d", i%6+1),
			Module: fmt.Sprintf("M%d", i%12), Effect: "red peony shell", Family: show.FamilyShell}
	}
	console := show.Console{Guard: show.DefaultGuard, NudgeLimit: show.DefaultNudgeLimit, Lanes: show.LanesByPosition}
	s := &show.Show{Title: "Benchmark", Cues: cues, Console: console}
	return s, show.NewPlan(cues, console, screentest.Rate, timebase.FrameAt(30*time.Minute, screentest.Rate))
}

// BenchmarkFrame draws one screen in full colour in the middle of a running
// show. zoom is the view: 20 s, or the whole show.
func BenchmarkFrame(b *testing.B) {
	for _, size := range screentest.Sizes {
		for _, n := range []int{100, 1000, 10_000} {
			for _, zoom := range []string{"20s", "whole"} {
				b.Run(fmt.Sprintf("%dx%d/%dcues/%s", size[0], size[1], n, zoom), func(b *testing.B) {
					sh, plan := bigShow(n)
					s := sceneOf(b, sh, plan, size[0], size[1])
					s.Theme = screen.NewTheme("dark", termenv.TrueColor)
					s.runTo(15 * time.Minute)
					if zoom == "whole" {
						s.press("0")
					}
					b.ReportAllocs()
					for b.Loop() {
						s.View()
					}
				})
			}
		}
	}
}

// BenchmarkCrewFrame draws the screen of a running show that so many others take part in.
func BenchmarkCrewFrame(b *testing.B) {
	for _, n := range []int{0, 3, 50} {
		b.Run(fmt.Sprint(n, " members"), func(b *testing.B) {
			sh, plan := bigShow(1000)
			s := sceneOf(b, sh, plan, 120, 36)
			var lines []crew.Line
			for i := range n {
				lines = append(lines, crew.Line{Name: fmt.Sprint("Member ", i), Role: "position:Position 1", Ready: i%2 == 0, Bound: time.Millisecond})
			}
			s.Others = &fakeCrew{Lines: lines}
			s.runTo(15 * time.Minute)
			b.ReportAllocs()
			for b.Loop() {
				s.View()
			}
		})
	}
}

// manyPositions is a show of n cues, each at a position of its own.
func manyPositions(n int) (*show.Show, *show.Plan) {
	sh, _ := bigShow(n)
	for i := range sh.Cues {
		sh.Cues[i].Position, sh.Cues[i].Module = fmt.Sprintf("Position %d", i+1), fmt.Sprintf("M%d", i+1)
	}
	return sh, show.NewPlan(sh.Cues, sh.Console, screentest.Rate, timebase.FrameAt(30*time.Minute, screentest.Rate))
}

// BenchmarkManyPositions makes the console of a show in which every cue has a
// position of its own, and draws its first screen.
func BenchmarkManyPositions(b *testing.B) {
	for _, n := range []int{100, 1000, 10_000} {
		sh, plan := manyPositions(n)
		b.Run(fmt.Sprint(n, " positions"), func(b *testing.B) {
			for b.Loop() {
				sceneOf(b, sh, plan, 120, 36).View()
			}
		})
	}
}

// BenchmarkSearch draws the table of the search of a show that has ended, in which every
// cue has a position of its own.
func BenchmarkSearch(b *testing.B) {
	for _, n := range []int{100, 1000, 10_000} {
		sh, plan := manyPositions(n)
		b.Run(fmt.Sprint(n, " positions"), func(b *testing.B) {
			s := sceneOf(b, sh, plan, 200, 60)
			s.runTo(31 * time.Minute)
			s.View()
			for b.Loop() {
				s.View()
			}
		})
	}
}

// counted is a terminal that counts what is written to it.
type counted struct{ n atomic.Int64 }

func (c *counted) Write(p []byte) (int, error) { c.n.Add(int64(len(p))); return len(p), nil }

// BenchmarkBytes runs a whole program in real time for three seconds and
// reports how much it writes to the terminal in a second, running and held.
func BenchmarkBytes(b *testing.B) {
	for _, size := range screentest.Sizes {
		for _, state := range []string{"running", "held", "safe"} {
			b.Run(fmt.Sprintf("%dx%d/%s", size[0], size[1], state), func(b *testing.B) {
				for b.Loop() {
					s := newScene(b, size[0], size[1])
					scenes[state](s)
					s.Theme = screen.NewTheme("dark", termenv.TrueColor)
					began := time.Now()
					from := s.run.T.Heard()
					s.Now = func() time.Time {
						passed := time.Since(began)
						if state == "running" {
							s.run.T.Advance(from+timebase.FrameAt(passed, screentest.Rate), nil)
						}
						s.run.Snap.Wall = screentest.Epoch.Add(passed)
						return screentest.Epoch.Add(passed)
					}
					var out counted
					p := tea.NewProgram(s.Screen, tea.WithInput(nil), tea.WithOutput(&out), tea.WithFPS(30), tea.WithoutSignalHandler())
					go func() {
						p.Send(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
						time.Sleep(time.Second)
						first := out.n.Load()
						time.Sleep(3 * time.Second)
						b.ReportMetric(float64(out.n.Load()-first)/3, "B/s")
						p.Kill()
					}()
					p.Run()
				}
			})
		}
	}
}
