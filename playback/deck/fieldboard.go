package deck

import (
	"fmt"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/board"
	"drylane/show/session"
	"drylane/show/timebase"
)

// A fieldBoard is the run's field board; without one its b is nil.
type fieldBoard struct {
	b      *board.Board
	opened time.Time
	now    *FieldNow        // for snapshots; replaced, never written to
	out    []board.Somebody // who has not been logged as back, the earliest first
	ran    bool             // the show has been started: the field may be live
	last   time.Duration    // the latest deed
}

// FieldNow is the field board at one moment. It is never changed once published.
type FieldNow struct {
	Board  board.Board
	Opened time.Time
	// Armed is when the show was first armed, from when on what was found counts no
	// more; zero before.
	Armed time.Time
}

// openField opens the board.
func (d *Deck) openField() {
	b := d.cfg.Board
	if b == nil {
		return
	}
	d.entry(session.KindBoard, session.Data{Count: len(b.Field().Devices)})
	// After the entry: who is back by the run's clock is so by the log's, too.
	d.field = fieldBoard{b: b, opened: d.clock.Now()}
	d.field.now = &FieldNow{Board: *b, Opened: d.field.opened}
}

// since is how long ago the board was opened at a moment.
func (f *fieldBoard) since(at time.Time) time.Duration { return at.Sub(f.opened) }

// stops says who is in the field, for nothing may be armed then.
func (f *fieldBoard) stops(now time.Time) []string {
	if f.b == nil || len(f.out) == 0 {
		return nil
	}
	since := f.since(now)
	out := f.b.Out(since)
	if len(out) == 0 {
		return nil
	}
	left := timebase.ClockUp(out[len(out)-1].Back - since)
	if len(out) > 1 {
		return []string{fmt.Sprintf("%d people are in the field, the last back in %s", len(out), left)}
	}
	return []string{fmt.Sprintf("somebody is in the field at %s, back in %s", show.Clean(out[0].Device), left)}
}

// somebodyOut refuses what would make the field live while somebody is in it.
func (d *Deck) somebodyOut(c show.Command) bool {
	out := d.whoIsOut()
	if len(out) == 0 {
		return false
	}
	d.refuseScored(c, show.CauseSomebodyOut, "cannot "+c.Action.String()+": "+strings.Join(out, "; "))
	return true
}

// refuseScored is refuseFor for what a drill scores: its script has not gone wrong.
func (d *Deck) refuseScored(c show.Command, cause show.Cause, why string) {
	d.refuseFor(c, cause, why)
	if d.cfg.Director != nil {
		d.refused--
	}
}

// fieldDeed does what was asked for at the field board at time stamp.
func (d *Deck) fieldDeed(by show.By, a show.ScriptAction, stamp time.Time) {
	deed, err := fieldDeedOf(a)
	if err == nil {
		err = d.fieldAllows(deed)
	}
	f := &d.field
	if err == nil {
		deed.At = max(f.since(stamp), f.last)
		err = f.b.Do(deed)
	}
	if err != nil {
		asked := "mark"
		if a.Kind == show.KindRepair {
			asked = "repair"
		}
		d.refuseDeed(by, asked, err.Error())
		return
	}
	f.last = deed.At
	f.now = &FieldNow{Board: *f.b, Opened: f.opened, Armed: f.now.Armed}
	d.tellDeed(by, deed)
}

// fieldDeedOf reads what was asked for.
func fieldDeedOf(a show.ScriptAction) (deed board.Deed, err error) {
	if a.Kind == show.KindRepair {
		return board.Deed{Act: board.Repair, Device: a.Text}, nil
	}
	deed.Device, deed.Fault, err = board.ParseMark(a.Text)
	return deed, err
}

// fieldAllows says why a deed cannot be done as the run stands: nobody is sent where
// something may go off.
func (d *Deck) fieldAllows(deed board.Deed) error {
	state := d.t.State()
	switch {
	case d.field.b == nil:
		return fmt.Errorf("this run has no field board")
	case deed.Act == board.Repair && state != show.Safe:
		return fmt.Errorf("nobody goes into the field while the show is %s", state)
	case deed.Act == board.Repair && d.field.ran:
		return fmt.Errorf("nobody goes into the field from here once the show has run: treat it as live")
	case state != show.Safe:
		return fmt.Errorf("a device is marked while the show is safe, and it is %s", state)
	}
	return nil
}

// refuseDeed refuses what was asked for in that word.
func (d *Deck) refuseDeed(by show.By, asked, why string) {
	why = "cannot " + asked + ": " + show.Clean(why)
	d.refused++
	d.entryBy(by, session.KindRefused, session.Data{Asked: asked, Text: why})
	d.say(Alarm, why)
}

// tellDeed logs a deed and says it.
func (d *Deck) tellDeed(by show.By, deed board.Deed) {
	data := session.Data{Device: deed.Device, Fault: deed.Fault, SinceNS: int64(deed.At)}
	if deed.Act == board.Mark {
		d.say(Plain, "marked: "+d.tell(by, session.KindMarked, data))
		return
	}
	d.field.out = d.field.b.Out(deed.At)
	for _, who := range d.field.out {
		if who.Device == deed.Device {
			data.BackNS = int64(who.Back)
		}
	}
	d.say(Plain, "sent out "+d.tell(by, session.KindSentOut, data))
	d.ready.upset(session.KindSentOut, show.NoCause)
}

// fieldBack logs those who have come back.
func (d *Deck) fieldBack() {
	f := &d.field
	for len(f.out) > 0 && f.out[0].Back <= f.since(d.clock.Now()) {
		who := f.out[0]
		f.out = f.out[1:]
		d.say(Plain, "back "+d.tell(show.ByNobody, session.KindBack, session.Data{Device: who.Device, SinceNS: int64(who.Back)}))
		d.ready.upset(session.KindBack, show.NoCause)
	}
}

// nextBack is when the next of them comes back; zero when nobody is out.
func (f *fieldBoard) nextBack() time.Time {
	if len(f.out) == 0 {
		return time.Time{}
	}
	return f.opened.Add(f.out[0].Back)
}

// saw notes what the run did.
func (f *fieldBoard) saw(k show.EventKind, now time.Time) {
	switch {
	case f.b == nil:
	case (k == show.EventArmed || k == show.EventReentered) && f.now.Armed.IsZero():
		f.now = &FieldNow{Board: f.now.Board, Opened: f.opened, Armed: now}
	case k == show.EventStarted:
		f.ran = true
	}
}
