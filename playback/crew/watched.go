package crew

import (
	"time"

	"drylane/playback/deck"
	"drylane/show"
)

// A watcher turns snapshots into what trainers are told. It belongs to one goroutine.
type watcher struct {
	cfg   *Config
	drift deck.Follower
	up    []show.Up

	score   string
	scoreAt time.Time // when it was asked for
}

// scoreEvery is how often the score is reckoned anew: the whole log is read for it.
const scoreEvery = 2 * time.Second

// look tells how the run stands now.
func (w *watcher) look(snap *deck.Snapshot, now time.Time) *Watched {
	w.drift.Update(snap, w.cfg.Cues, w.cfg.Training.Tapper)
	t := &snap.Transport
	s := &Watched{
		Asked: t.Asked(), Gone: t.Next(), Taps: len(snap.Taps), Drift: w.drift.Words(t.Asked()), Score: w.scoreNow(now),
		Output: snap.Output, Level: snap.Level, Mute: snap.Soundless, Lost: snap.Lost,
	}
	var after int
	if s.InForce, after = t.InForce(); after >= 0 {
		s.After = w.cue(after).ID
	}
	if t.State() == show.Safe {
		s.Field = fieldWords(snap, now)
	}
	for i := t.Next(); i < len(w.cfg.Plan.Cues) && len(s.Next) < maxListed; i++ {
		s.Next = append(s.Next, w.cfg.cue(t, i))
	}
	w.stillUp(s, t, snap.Stopped(now))
	return s
}

// scoreNow is the score so far; empty where nobody knows it.
func (w *watcher) scoreNow(now time.Time) string {
	if ask := w.cfg.Training.Score; ask != nil && now.Sub(w.scoreAt) >= scoreEvery {
		w.score, w.scoreAt = ask(), now
	}
	return w.score
}

// stillUp lists what is up.
func (w *watcher) stillUp(s *Watched, t *show.Transport, stopped time.Duration) {
	w.up = t.StillUp(stopped, w.up[:0])
	s.UpAll, s.Unknown = len(w.up), t.Unknown(stopped)
	rate := w.cfg.Plan.Rate
	for _, up := range w.up[:min(len(w.up), maxListed)] {
		c := w.cue(up.Cue)
		s.Up = append(s.Up, UpCue{Cue: c.ID, Position: c.Position, Breaks: max(0, up.Effect).At(rate), Clear: up.Clear.At(rate)})
	}
}

func (w *watcher) cue(i int) show.Cue { return w.cfg.Cues[w.cfg.Plan.Cues[i].List] }
