package screentest

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/timebase"
	"drylane/show/words"
)

// Rate is the sample rate of the demo's soundtrack.
const Rate = 44100

// Demo returns the demo show and its plan.
func Demo(t testing.TB) (*show.Show, *show.Plan) {
	t.Helper()
	sh, err := show.Load(os.DirFS(filepath.Join(Root, "testdata", "demo", "show")))
	if err != nil {
		t.Fatal(err)
	}
	return sh, show.NewPlan(sh.Cues, sh.Console, Rate, timebase.FrameAt(135*time.Second, Rate))
}

// A Run is a run that the test moves by hand.
type Run struct {
	T    *show.Transport
	Snap deck.Snapshot // all of a snapshot but the transport
	Did  []show.ScriptAction
	Over bool // it was quit

	Sources []int // asked for by Listen
}

// NewRun returns a run of a plan that is safe and has been so for a while.
func NewRun(plan *show.Plan) *Run {
	return &Run{T: show.NewTransport(plan), Snap: deck.Snapshot{Wall: Epoch, Since: Epoch.Add(-42 * time.Second), Speed: 1,
		Output: "PulseAudio, Test Speakers", Latency: 23 * time.Millisecond, Logged: 17, Level: [2]float64{0.5, 0.3}}}
}

func (r *Run) Snapshot() *deck.Snapshot {
	s := r.Snap
	s.Transport = *r.T
	s.Rendered = r.T.Heard() + 4800
	return &s
}
func (r *Run) Do(a show.ScriptAction, at time.Time) { r.Did = append(r.Did, a) }
func (r *Run) SetBangs([2]float64)                  {}
func (r *Run) Listen(source int)                    { r.Sources = append(r.Sources, source) }
func (r *Run) Quit()                                { r.Over = true }

// Command gives the transport a command at a moment of the music.
func (r *Run) Command(a show.Action, at time.Duration, c show.Command) {
	c.Action = a
	if _, err := r.T.Do(c, timebase.FrameAt(at, Rate), nil); err != nil {
		panic(err)
	}
}

// To arms and starts a run that is safe, and runs it to a moment of the music.
func (r *Run) To(at time.Duration) {
	if r.T.State() == show.Safe {
		r.Command(show.Arm, 0, show.Command{})
		r.Command(show.Start, 0, show.Command{})
	}
	r.T.Advance(timebase.FrameAt(at, Rate), nil)
	if r.T.State() == show.Running {
		r.Snap.Since = Epoch.Add(-at)
	}
}

// List says what the run was asked to do.
func (r *Run) List() string {
	var out []string
	for _, a := range r.Did {
		switch {
		case a.Kind == show.KindTap:
			out = append(out, "tap")
		case a.Kind == show.KindCall && a.Late:
			out = append(out, "late")
		case a.Kind == show.KindCall:
			out = append(out, "early")
		case a.Kind == show.KindGo:
			out = append(out, "go")
		case a.Kind == show.KindStay:
			out = append(out, "stay")
		case a.Kind == show.KindTick:
			out = append(out, "tick")
		case a.Kind == show.KindSilent:
			out = append(out, "silent")
		case a.Kind == show.KindAnswer && a.Answer == show.NoAnswer:
			out = append(out, "withdraw "+a.Text)
		case a.Kind == show.KindAnswer:
			out = append(out, string(a.Answer)+" "+a.Text)
		case a.Kind == show.KindEnter:
			out = append(out, "enter "+a.Text)
		case a.Kind == show.KindBack:
			out = append(out, "back "+a.Text)
		case a.Kind == show.KindMark:
			out = append(out, "mark "+a.Text)
		case a.Kind == show.KindRepair:
			out = append(out, "repair "+a.Text)
		case a.Kind == show.KindSaw:
			out = append(out, strings.TrimSpace(fmt.Sprintf("%s %s %s", a.Saw, a.Text, a.Command.Group.Name)))
		case a.Command.Action == show.Reenter:
			out = append(out, fmt.Sprintf("re-enter %v run-up %v", a.Command.From, a.Command.RunUp))
		case a.Command.Action == show.Nudge:
			out = append(out, words.Nudge(a.Command.Step))
		case a.Command.Group.Name != "":
			out = append(out, fmt.Sprintf("%s %s %s", a.Command.Action, a.Command.Group.By, a.Command.Group.Name))
		default:
			out = append(out, a.Command.Action.String())
		}
	}
	return strings.Join(out, ", ")
}
