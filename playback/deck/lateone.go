package deck

import (
	"slices"
	"time"

	"drylane/playback"
	"drylane/show"
	"drylane/show/drill"
	"drylane/show/timebase"
)

// A LateOne is a cue that went off in the field while the music stood still: its
// firing was on the way when the show was held. Only drills have it happen. To the
// transport the cue has yet to fire.
type LateOne struct {
	Cue int // index into the plan's cues
	At  time.Time
}

// lateReach is how far ahead in the list a position may find what it fires late
// (common practice, no source: a link may be given its cues seconds ahead).
const lateReach = 5 * time.Second

// lateCues are the cues that a late one of group g lets go now: those that were due
// when the show was held or, where none of the group was, its next. None go while
// the music runs.
func (d *Deck) lateCues(g show.Group) (late []int) {
	k := d.plan.Group(g)
	if s := d.t.State(); k < 0 || s != show.Held && s != show.Safe {
		return nil
	}
	goes := func(i int) bool { return d.plan.In(i, k) && !d.t.Down(i) && !d.wentLate(i) }
	for _, i := range d.t.DueAtStop() {
		if goes(i) {
			late = append(late, i)
		}
	}
	reach := d.t.Heard() + timebase.FrameAt(lateReach, d.plan.Rate)
	for i := d.t.Next(); i < len(d.plan.Cues) && len(late) == 0 && d.t.FiresAt(i) <= reach; i++ {
		if goes(i) {
			late = append(late, i)
		}
	}
	return late
}

// lateIDs names for the log the cues that a step lets go.
func (d *Deck) lateIDs(s drill.Step) (ids []string) {
	if s.Do != drill.LateOne {
		return nil
	}
	for _, i := range d.lateCues(s.Group) {
		ids = append(ids, d.cfg.LogCues[i].ID)
	}
	return ids
}

// wentLate reports whether cue i has gone off late, and is spent.
func (d *Deck) wentLate(i int) bool {
	return slices.ContainsFunc(d.late, func(l LateOne) bool { return l.Cue == i })
}

// fireLate lets go what a late one of group g does: it is heard and marked on the
// screen, and nothing is said of it.
func (d *Deck) fireLate(g show.Group) {
	d.endAside()
	var voices playback.Voices
	end := timebase.Frame(0)
	for _, i := range d.lateCues(g) {
		d.late = append(slices.Clip(d.late), LateOne{i, d.clock.Now()})
		if d.cfg.Sound == nil {
			continue
		}
		c := &d.plan.Cues[i]
		if sound := d.cfg.Sound(d.cfg.Cues[c.List].Family); len(sound) > 0 {
			voices.Add(playback.Voice{ID: i, Start: c.Prefire(), Sound: sound})
			end = max(end, c.Prefire()+timebase.Frame(len(sound)))
		}
	}
	if end > 0 {
		d.beginAside(voices, end)
	}
}
