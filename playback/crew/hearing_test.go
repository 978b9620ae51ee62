package crew

import (
	"testing"
	"time"

	"drylane/show"
	"drylane/show/crew"
	"drylane/show/drift"
	"drylane/show/session"
	"drylane/show/timebase"
)

// TestHearing: taps are gathered by who made them and told of together; those under another
// nudge, and of a run that began anew, are a beginning.
func TestHearing(t *testing.T) {
	places := []session.Place{{Name: "main audience", MusicNS: int64(300 * time.Millisecond)}, {Name: "bridge", MusicNS: int64(500 * time.Millisecond)}}
	var cues []drift.Effect
	for _, ms := range []int{5000, 8100, 10400, 13900, 15700, 18900, 20200, 23800} {
		cues = append(cues, drift.Effect{At: time.Duration(ms) * time.Millisecond, Lane: "Quay"})
	}
	var h hearing
	habit := &session.Habit{ScatterNS: int64(20 * time.Millisecond), Taps: 24}
	hear := func(id string, s seat, after, nudge time.Duration) {
		for i, c := range cues {
			scatter := time.Duration(i%3-1) * 10 * time.Millisecond
			h.take(heardTap{id, "N" + id, timebase.FrameAt(c.At+after+scatter, rate), nudge, time.Millisecond}, s, rate)
		}
	}
	// The cues lie 100 ms late for the main audience.
	hear("a", seat{"main audience", habit}, -100*time.Millisecond, 0)
	h.latest = 0 // the other one taps along
	hear("b", seat{"bridge", habit}, 100*time.Millisecond, 0)
	got := h.reckon(cues, places)
	if v := got.Verdict; got.Taps != 16 || len(got.Places.Places) != 2 || v.Code != drift.Nudge || v.Nudge != 100*time.Millisecond || h.news {
		t.Fatalf("%d taps, %+v", got.Taps, got.Verdict)
	}
	if want := "listeners: EARLIER 0.1 s for the main audience (2 places)"; got.Short() != want {
		t.Errorf("%q, want %q", got.Short(), want)
	}
	hear("a", seat{"main audience", habit}, 0, 100*time.Millisecond)
	if got = h.reckon(cues, places); got.Taps != 8 || got.Nudge != 100*time.Millisecond || got.Verdict.Code != drift.InPlace {
		t.Errorf("after a nudge: %d taps, %+v", got.Taps, got.Verdict)
	}
	hear("a", seat{"main audience", habit}, 0, 100*time.Millisecond) // from the top
	if got = h.reckon(cues, places); got.Taps != 8 {
		t.Errorf("of a run that began anew: %d taps", got.Taps)
	}
}

// TestListened: a tap of a listener is told of on the lead's board.
func TestListened(t *testing.T) {
	r := newRig(t, nil)
	j := r.invite("Cyd", "listener")
	j.Place = crew.AtMusic
	m, err := Dial(t.Context(), j)
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	r.run.do(show.Arm)
	r.run.do(show.Start)
	eventually(t, "it runs, by a clock that is known", func() bool { v := m.View(); return v.Running() && v.Clocked })
	m.Do(crew.Tap, Deed{})
	eventually(t, "the board tells of it", func() bool {
		b := r.Board().Listened
		return b != nil && b.Taps == 1 && b.Verdict.Code == drift.TooFew && b.Heard[0].Name == "Cyd"
	})
}
