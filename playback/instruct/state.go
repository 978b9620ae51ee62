package instruct

import (
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/timebase"
)

// A teller turns snapshots into States. It belongs to one goroutine.
type teller struct {
	cfg   *Config
	drift deck.Follower
	up    []show.Up

	score   string
	scoreAt time.Time // when it was asked for
}

// scoreEvery is how often the score is reckoned anew: the whole log is read for it.
const scoreEvery = 2 * time.Second

// state tells how the run stands now.
func (w *teller) state() *State {
	snap, now := w.cfg.Snapshot(), w.cfg.Now()
	w.drift.Update(snap, w.cfg.Cues, w.cfg.Tapper)
	t := &snap.Transport
	s := &State{
		State: t.State().String(), For: max(0, now.Sub(snap.Since)), Heard: snap.HeardAt(now).At(w.cfg.Plan.Rate),
		Asked: t.Asked(), Gone: t.Next(), Taps: len(snap.Taps), Drift: w.drift.Words(t.Asked()),
		Output: snap.Output, Level: snap.Level, Mute: snap.Soundless, Lost: snap.Lost,
	}
	var after int
	if s.InForce, after = t.InForce(); after >= 0 {
		s.After = w.cue(after).ID
	}
	s.Score = w.scoreNow(now)
	if t.State() == show.Safe {
		s.Field = fieldWords(snap, now)
	}
	w.next(s, t, snap.HeardAt(now))
	w.up = t.StillUp(snap.Stopped(now), w.up[:0])
	s.UpAll, s.Unknown = len(w.up), t.Unknown(snap.Stopped(now))
	for _, up := range w.up[:min(len(w.up), maxListed)] {
		c := w.cue(up.Cue)
		s.Up = append(s.Up, UpCue{Cue: c.ID, Position: c.Position,
			Breaks: max(0, up.Effect).At(w.cfg.Plan.Rate), Clear: up.Clear.At(w.cfg.Plan.Rate)})
	}
	return s
}

// scoreNow is the score so far; empty where nobody knows it.
func (w *teller) scoreNow(now time.Time) string {
	if w.cfg.Score != nil && now.Sub(w.scoreAt) >= scoreEvery {
		w.score, w.scoreAt = w.cfg.Score(), now
	}
	return w.score
}

// next lists the cues to come.
func (w *teller) next(s *State, t *show.Transport, heard timebase.Frame) {
	for i := t.Next(); i < len(w.cfg.Plan.Cues) && len(s.Next) < maxListed; i++ {
		c := w.cue(i)
		s.Next = append(s.Next, NextCue{Cue: c.ID, Position: c.Position, Effect: c.Effect,
			In: max(0, t.FiresAt(i)-heard).At(w.cfg.Plan.Rate), Seen: max(0, t.EffectAt(i)-heard).At(w.cfg.Plan.Rate), Down: t.Down(i), Committed: i < t.Committed()})
	}
}

func (w *teller) cue(i int) show.Cue { return w.cfg.Cues[w.cfg.Plan.Cues[i].List] }
