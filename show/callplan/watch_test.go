package callplan

import (
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/timebase"
)

const watchRate = 1000

// watched is a show with calls at Beacon from a track, a person calling at Fort, and
// a transport over it that runs.
func watched(t *testing.T) (*Watch, *show.Transport) {
	t.Helper()
	s := &show.Show{
		Positions: []show.Position{{Name: "Quay"}, {Name: "Beacon", HandFired: true}, {Name: "Fort", HandFired: true}},
		Tracks:    []show.Track{{File: "beacon.wav", Left: "music", Right: "calls Beacon"}},
	}
	for _, c := range []struct {
		id, position string
		at           int
	}{{"1", "Quay", 5}, {"14", "Beacon", 20}, {"15", "Fort", 21}, {"16", "Beacon", 40}, {"17", "Quay", 50}} {
		s.Cues = append(s.Cues, show.Cue{ID: c.id, Position: c.position, EffectAt: time.Duration(c.at) * time.Second})
	}
	p := show.NewPlan(s.Cues, show.Console{Guard: show.DefaultGuard, NudgeLimit: show.DefaultNudgeLimit}, watchRate, 60*watchRate)
	tr := show.NewTransport(p)
	do(t, tr, show.Command{Action: show.Arm}, 0)
	do(t, tr, show.Command{Action: show.Start}, 0)
	return NewWatch(s, p), tr
}

func do(t *testing.T, tr *show.Transport, c show.Command, at time.Duration) {
	t.Helper()
	if _, err := tr.Do(c, timebase.FrameAt(at, watchRate), nil); err != nil {
		t.Fatal(err)
	}
}

// TestCallsAreOff: with a nudge, for as long as a position that a track calls has
// cues to come, and not for the position that a person calls.
func TestCallsAreOff(t *testing.T) {
	w, tr := watched(t)
	off := func(want string) {
		t.Helper()
		if got := strings.Join(w.Off(tr), ", "); got != want {
			t.Errorf("at %d, nudge %v: off at %q, want %q", tr.Heard(), tr.Asked(), got, want)
		}
	}
	off("")
	do(t, tr, show.Command{Action: show.Nudge, Step: 2 * time.Second}, 10*time.Second)
	off("Beacon")
	beacon := show.Group{By: show.LanesByPosition, Name: "Beacon"}
	do(t, tr, show.Command{Action: show.StandDown, Group: beacon}, 11*time.Second)
	off("")
	do(t, tr, show.Command{Action: show.BringBack, Group: beacon}, 12*time.Second)
	off("Beacon")
	tr.Advance(39*watchRate, nil) // 16 has fired at 38 s
	off("")
	for nudge, want := range map[time.Duration]string{2 * time.Second: "CALLS ARE 2.0 s LATE AT Beacon, Fort", -300 * time.Millisecond: "CALLS ARE 0.3 s EARLY AT Beacon, Fort"} {
		if got := OffWords(nudge, []string{"Beacon", "Fort"}); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// TestCaughtInTheCount: a run that stands between the warning for a cue and its word
// would go on inside the count for it, unless the cue has fired by then.
func TestCaughtInTheCount(t *testing.T) {
	for _, tt := range []struct {
		held  time.Duration
		nudge time.Duration
		want  string
	}{
		{12 * time.Second, 0, ""},
		{14 * time.Second, 0, "14 Beacon"}, // in the warning
		{19500 * time.Millisecond, 0, "14 Beacon"},
		{19500 * time.Millisecond, 2 * time.Second, ""}, // fired at 18 s
		{20500 * time.Millisecond, 0, ""},
		{39 * time.Second, 0, "16 Beacon"},
	} {
		w, tr := watched(t)
		if tt.nudge != 0 {
			do(t, tr, show.Command{Action: show.Nudge, Step: tt.nudge}, time.Second)
		}
		do(t, tr, show.Command{Action: show.Hold}, tt.held)
		got := ""
		if c, ok := w.InCount(tr); ok {
			got = c.Cue + " " + c.Position
		}
		if got != tt.want {
			t.Errorf("held at %v, nudge %v: inside the count for %q, want %q", tt.held, tt.nudge, got, tt.want)
		}
	}
}
