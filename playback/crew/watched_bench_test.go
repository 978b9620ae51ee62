package crew

import (
	"fmt"
	"testing"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/session"
)

// BenchmarkWatched looks once at a run of 10,000 cues, ten a second, as it is done five
// times a second while there is a trainer.
func BenchmarkWatched(b *testing.B) {
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
	w := &watcher{cfg: &Config{Plan: plan, Cues: cues}}
	n := 0
	for b.Loop() {
		n = len(pack(&Drill{Now: w.look(snap, epoch)}))
	}
	b.ReportMetric(float64(n), "bytes/look")
}

// BenchmarkGate is what an event costs the goroutine that writes the session
// log.
func BenchmarkGate(b *testing.B) {
	var g Gate
	late := int64(-40)
	e := session.Entry{N: 1, Kind: session.KindTap, State: "running", Data: session.Data{Cue: "12", LateMS: &late}}
	for b.Loop() {
		g.Entry(e)
	}
}
