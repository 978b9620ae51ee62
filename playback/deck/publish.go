package deck

import "time"

// longestUnwritten is how long a snapshot waits for the log.
const longestUnwritten = 100 * time.Millisecond

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
