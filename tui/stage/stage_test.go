package stage

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"drylane/playback/calibration"
	"drylane/playback/desk"
	"drylane/show"
	"drylane/show/drift"
	"drylane/tui/calibrate"
	"drylane/tui/console"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"
	"drylane/tui/soundcheck"

	tea "github.com/charmbracelet/bubbletea"
)

// fakeDesk is a desk that notes what it is asked for.
type fakeDesk struct {
	did  []desk.Action
	quit bool
}

func (f *fakeDesk) Snapshot() *desk.Snapshot { return &desk.Snapshot{Source: -1} }
func (f *fakeDesk) Do(c desk.Command)        { f.did = append(f.did, c.Action) }
func (f *fakeDesk) Quit()                    { f.quit = true }

// A rig is a stage over the demo show, with a sound check on a fake desk and a
// calibration that knows its answer.
type rig struct {
	*Screen
	run  *screentest.Run
	desk *fakeDesk
	tick tea.Msg // the console's latest
}

func newRig(t *testing.T) *rig {
	sh, plan := screentest.Demo(t)
	r := &rig{run: screentest.NewRun(plan), desk: &fakeDesk{}}
	now := func() time.Time { return screentest.Epoch }
	c := console.New(console.Setup{Show: sh, Plan: plan, Run: r.run, Keys: screen.MustKeymap(console.Keys), Look: screen.Look{Theme: screen.PlainTheme()}, Now: now})
	r.Screen = New(c, func() (soundcheck.Setup, error) {
		return soundcheck.Setup{Desk: r.desk, Sources: desk.Sources(nil), Look: screen.Look{Theme: screen.PlainTheme()}, Now: now}, nil
	}, func() (calibrate.Setup, error) {
		run := func(ctx context.Context, _ <-chan time.Time, _ func(int)) (calibration.Result, error) {
			return calibration.Result{Habit: drift.Config{Bias: -40 * time.Millisecond}}, ctx.Err()
		}
		return calibrate.Setup{Run: run, Wanted: 3, Look: screen.Look{Theme: screen.PlainTheme()}}, nil
	})
	r.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	r.tick = r.Init()()
	return r
}

// do gives the transport a command, and lets the console see it.
func (r *rig) do(a show.Action) {
	r.run.Command(a, 0, show.Command{})
	r.Update(r.tick)
}

// press presses a key and returns what comes of it.
func (r *rig) press(key string) tea.Cmd {
	_, cmd := r.Update(r.Arrived(screen.Input{Key: key}, screentest.Epoch))
	return cmd
}

// TestSoundCheck: the console opens the sound check only while the show is safe,
// and in it no key reaches the show.
func TestSoundCheck(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.do(show.Arm)
	r.press("s")
	if got := r.View(); strings.Contains(got, "SOUND CHECK") {
		t.Fatal("the sound check opened over an armed show")
	}
	r.do(show.Cut)
	r.press("s")
	if got := r.View(); !strings.Contains(got, "SOUND CHECK") || !strings.Contains(got, "nothing is armed") {
		t.Fatalf("no sound check:\n%s", got)
	}
	for _, k := range []string{"a", "enter", "space", "left", "d", "j"} {
		r.press(k)
	}
	if len(r.run.Did) > 0 {
		t.Errorf("the show was asked for %s", r.run.List())
	}
	if got := r.desk.did; len(got) != 3 || got[0] != desk.Play || got[1] != desk.Stop || got[2] != desk.Wind {
		t.Errorf("the desk was asked for %v", got)
	}
	if _, cmd := r.Update(r.tick); cmd == nil {
		t.Error("the run is no longer watched")
	}
	left := r.press("q")
	if !r.desk.quit || r.run.Over {
		t.Errorf("q quits the desk %v, the run %v", r.desk.quit, r.run.Over)
	}
	r.Update(left())
	if got := r.View(); strings.Contains(got, "SOUND CHECK") || !strings.Contains(got, "SAFE") {
		t.Errorf("after q:\n%s", got)
	}
	r.press("a")
	if got := r.run.List(); got != "arm" {
		t.Errorf("back on the console a asks for %q", got)
	}
}

// TestKeysBehindTheKey: keys that follow the one for the sound check at once are
// for the check, though it does not stand there yet; when it does not come they are
// for nothing, and the next ones are the console's again.
func TestKeysBehindTheKey(t *testing.T) {
	t.Parallel()
	for _, fails := range []bool{false, true} {
		r := newRig(t)
		if open := r.openCheck; fails {
			r.openCheck = func() (soundcheck.Setup, error) { s, _ := open(); return s, errors.New("no") }
		}
		var msgs []tea.Msg
		for _, k := range []string{"s", "a", "enter", "d"} {
			msgs = append(msgs, r.Arrived(screen.Input{Key: k}, screentest.Epoch))
		}
		for _, msg := range msgs {
			r.Update(msg)
		}
		if got := r.run.List(); got != "" {
			t.Errorf("fails %v: the show was asked for %q", fails, got)
		}
		if played := len(r.desk.did) > 0; played == fails {
			t.Errorf("fails %v: the desk was asked for %v", fails, r.desk.did)
		}
		if r.press("a"); fails && r.run.List() != "arm" {
			t.Errorf("after the check did not open a asks for %q", r.run.List())
		}
	}
}

// TestStopsAreTheRuns: should the run not be safe while another screen stands in
// the console's place, hold and cut are the run's.
func TestStopsAreTheRuns(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.press("s")
	r.run.To(time.Second)
	r.press("space")
	r.press("left")
	r.press("backspace")
	if got := r.run.List(); got != "hold, cut" {
		t.Errorf("the run was asked for %q", got)
	}
}

// TestWhyNot: what keeps the sound check from opening is said until the next
// key.
func TestWhyNot(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.openCheck = func() (soundcheck.Setup, error) {
		return soundcheck.Setup{}, errors.New("the sound server does not answer")
	}
	r.press("s")
	if got := r.View(); !strings.Contains(got, "no sound check: the sound server does not answer") {
		t.Errorf("%s", got)
	}
	r.press("n")
	if got := r.View(); strings.Contains(got, "no sound check") {
		t.Error("the message stays")
	}
}

// TestCalibration: what a calibration finds holds for the taps that follow;
// nothing does when it is left before its end.
func TestCalibration(t *testing.T) {
	t.Parallel()
	for _, whole := range []bool{true, false} {
		r := newRig(t)
		r.Uncalibrated = "Robin"
		if v := r.View(); !strings.Contains(v, "k calibrates, a arms: Robin is not calibrated, taps count as they are") {
			t.Fatalf("nobody is warned:\n%s", v)
		}
		r.press("k")
		if !strings.Contains(r.View(), "CALIBRATION") {
			t.Fatalf("no calibration:\n%s", r.View())
		}
		want := time.Duration(0)
		if whole {
			want = -40 * time.Millisecond
			r.Update(r.press("enter")())
		}
		r.press("j")
		r.Update(r.press("q")())
		if v := r.View(); !strings.Contains(v, "SAFE") || r.Tapper.Bias != want || strings.Contains(v, "not calibrated") == whole {
			t.Errorf("to its end %v: bias %v, want %v\n%s", whole, r.Tapper.Bias, want, v)
		}
		if len(r.run.Did) > 0 {
			t.Errorf("the show was asked for %s", r.run.List())
		}
	}
}
