package deck

import (
	"time"

	"drylane/show"
	"drylane/show/drill"
	"drylane/show/timebase"
)

// longestUnwritten is how long a snapshot waits for the log.
const longestUnwritten = 100 * time.Millisecond

// sounds is the frame that sounds at a moment, for outputs on other machines that are
// to keep together with this one: closer than what counts as heard, which follows each
// reading of the device. Before a start that is set for a moment to come it lies before
// the first frame. It is nil while nothing plays or where the output does not tell.
func (d *Deck) sounds(at time.Time) *timebase.Frame {
	out, ok := timed(d.out)
	if !ok || d.cfg.Now == nil || d.t.State() != show.Running {
		return nil
	}
	f, ok := out.Sounding(at)
	if !ok {
		return nil
	}
	music := d.base + timebase.Frame(f)
	return &music
}

// muted is what a drill lets nobody hear at the moment.
func (d *Deck) muted() (list []show.Group) {
	if d.faults.Has(drill.MusicOff) {
		list = append(list, show.Group{})
	}
	return append(list, d.faults.Groups(drill.CallsOff)...)
}

// publish makes a new snapshot for whoever draws, once the log's file has all
// that it tells of: what is shown, a crash does not lose. It waits for the log no
// longer than longestUnwritten, and the loop does not wait at all; from then on
// snapshots say that they are unwritten, until the log has caught up.
func (d *Deck) publish() {
	now, tried := d.clock.Now(), d.log.state().tried
	overdue := false
	if d.draft != nil {
		overdue = now.Sub(d.draft.Wall) >= longestUnwritten
		switch {
		case tried < d.draft.entries && !overdue && !d.done:
			return
		case tried >= d.draft.entries:
			if !d.overtaken {
				d.snap.Store(d.draft)
			}
			d.draft, d.overtaken, overdue = nil, false, false
		}
	}
	s := d.picture()
	switch {
	case tried >= s.entries || d.done || d.snap.Load() == nil:
		d.snap.Store(s)
	case overdue:
		s.Unwritten, d.overtaken = true, true
		d.snap.Store(s)
	default:
		d.draft = s
	}
}
