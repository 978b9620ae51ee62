package session

import (
	"bytes"
	"errors"
	"fmt"
	"testing"
	"time"

	"drylane/show"
)

// salvoLog is the log of a run whose nudge makes 12 cues due at once, by the rule that
// together says; told says whether the header has it.
func salvoLog(t *testing.T, together int, told bool) *Log {
	t.Helper()
	var cues []show.Cue
	for i := range 12 {
		cues = append(cues, show.Cue{ID: fmt.Sprint(i + 1), EffectAt: 2*time.Second + time.Duration(i)*200*time.Millisecond, Position: "A"})
	}
	plan := show.NewPlan(cues, show.Console{Guard: show.DefaultGuard, NudgeLimit: show.DefaultNudgeLimit, Together: together}, 48000, 48000*10)
	h := Header{Soundtrack: Soundtrack{Rate: 48000, Frames: 480000}, GuardMS: 150, LimitMS: 10000, Cues: CuesOf(plan, cues)}
	if told {
		h.Together = &plan.Together
	}
	var buf bytes.Buffer
	w, err := NewWriter(&buf, nil, h)
	if err != nil {
		t.Fatal(err)
	}
	tr := show.NewTransport(plan)
	do := doing(t, w, tr, h.Cues)
	do(show.Command{Action: show.Arm}, 0)
	do(show.Command{Action: show.Start}, 0)
	do(show.Command{Action: show.Nudge, Step: 5 * time.Second, Anyway: true}, 48_000)
	do(show.Command{Action: show.Hold, Reason: "wind"}, 62_000)
	do(show.Command{Action: show.Resume, Anyway: true}, 62_000)
	do(show.Command{Action: show.Cut}, 400_000)
	w.Append(Entry{Kind: KindClosed})
	log, err := Read(&buf)
	if err != nil {
		t.Fatal(err)
	}
	return log
}

// TestRuleOfTheLog: a log replays by the rule that its header tells of, and one that
// tells of none by the old rule, by which all that is overdue fires at once.
func TestRuleOfTheLog(t *testing.T) {
	for _, tt := range []struct {
		name     string
		together int
		told     bool
		frames   int // on which its cues fire
		agrees   bool
	}{
		{"as it is written today", show.DefaultTogether, true, 12, true},
		{"before there was a rule", show.AnyTogether, false, 1, true},
		{"run by the rule, and the header does not say so", show.DefaultTogether, false, 12, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			log := salvoLog(t, tt.together, tt.told)
			frames := map[int64]bool{}
			for _, e := range log.Entries {
				if e.Kind == show.EventFired.String() {
					frames[e.Heard] = true
				}
			}
			var difference *Difference
			agreed, err := Replay(log)
			if len(frames) != tt.frames || (err == nil && agreed == 12) != tt.agrees || err != nil && !errors.As(err, &difference) {
				t.Errorf("%d frames, %d agreed, %v; want %d frames, agreed %v", len(frames), agreed, err, tt.frames, tt.agrees)
			}
		})
	}
}

// TestSalvoWords: what came due at once, and what was due at a hold, in the words of a
// log.
func TestSalvoWords(t *testing.T) {
	log := salvoLog(t, show.DefaultTogether, true)
	want := map[string]string{
		show.EventNudged.String():  "12 cues were spread over 2.20 s: cues 1 to 12",
		show.EventHeld.String():    "wind; cue 2 was due: treat as live",
		show.EventResumed.String(): "11 cues were spread over 2.00 s: cues 2 to 12",
		show.EventCut.String():     "",
	}
	for _, e := range log.Entries {
		if says, ok := want[e.Kind]; ok && e.Words(48000, 480000) != says {
			t.Errorf("%s: %q, want %q", e.Kind, e.Words(48000, 480000), says)
		}
	}
}
