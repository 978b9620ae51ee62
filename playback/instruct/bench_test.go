package instruct

import (
	"fmt"
	"testing"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/session"
)

// BenchmarkState makes one state of a run of 10,000 cues, ten a second, as it
// is done five times a second while there is an instructor.
func BenchmarkState(b *testing.B) {
	cues := make([]show.Cue, 10_000)
	for i := range cues {
		cues[i] = show.Cue{ID: fmt.Sprint(i + 1), EffectAt: time.Duration(i+1) * time.Second / 10, Prefire: 2 * time.Second,
			Burn: 3 * time.Second, Position: "Quay", Effect: "gold comet with crackle"}
	}
	plan := show.NewPlan(cues, show.Console{Guard: show.DefaultGuard, NudgeLimit: show.DefaultNudgeLimit, Together: show.DefaultTogether}, 48000, 48000*1100)
	t := show.NewTransport(plan)
	t.Do(show.Command{Action: show.Arm}, 0, nil)
	t.Do(show.Command{Action: show.Start}, 0, nil)
	t.Advance(48000*500, nil)
	snap := &deck.Snapshot{Transport: *t, Wall: epoch, Speed: 1}
	w := &teller{cfg: &Config{Plan: plan, Cues: cues, Snapshot: func() *deck.Snapshot { return snap }, Now: func() time.Time { return epoch }}}
	n := 0
	for b.Loop() {
		n = len(line(Message{State: w.state()}))
	}
	b.ReportMetric(float64(n), "bytes/state")
}

// BenchmarkEvent is what an event costs the goroutine that writes the session
// log.
func BenchmarkEvent(b *testing.B) {
	var l Log
	late := int64(-40)
	e := session.Entry{N: 1, Kind: session.KindTap, State: "running", Data: session.Data{Cue: "12", LateMS: &late}}
	for b.Loop() {
		l.Add(e)
	}
}
