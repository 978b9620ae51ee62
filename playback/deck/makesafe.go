package deck

import (
	"errors"
	"fmt"
	"time"

	"drylane/show"
	"drylane/show/makesafe"
	"drylane/show/session"
	"drylane/show/timebase"
)

// A safeBook is who is in the field, and since when it is safe; without the rule its b is
// nil.
type safeBook struct {
	b   *makesafe.Book
	now *SafeNow // for snapshots; replaced, never written to
}

// SafeNow is who is in the field, and since when the show is safe. It is never changed
// once published.
type SafeNow struct {
	Book makesafe.Book
	// Since is when the show was cut, or ended; zero before. What was still up then, by
	// the list, is UpThen effects, of which the cue LastUp was to clear last, and Unknown
	// that nobody knows the burn time of.
	Since           time.Time
	LastUp          string
	UpThen, Unknown int
}

func (d *Deck) openSafe() {
	if d.cfg.Safe != nil {
		d.safe.b = makesafe.New(*d.cfg.Safe)
		d.safe.now = &SafeNow{Book: *d.safe.b}
	}
}

// publish makes the next snapshot of the book.
func (s *safeBook) publish() {
	next := *s.now
	next.Book = *s.b
	s.now = &next
}

// lastUp is what was up by the list when the show was cut or ended, held for held.
func (d *Deck) lastUp(held time.Duration) (cue string, up, unknown int) {
	list := d.t.StillUp(held, nil)
	if len(list) > 0 {
		cue = d.cfg.LogCues[list[0].Cue].ID
	}
	return cue, len(list), d.t.Unknown(held)
}

// madeSafe begins the waiting time.
func (d *Deck) madeSafe(data *session.Data) {
	if d.safe.b == nil {
		return
	}
	now := d.clock.Now()
	d.safe.b.Safe(now)
	d.safe.now = &SafeNow{Book: *d.safe.b, Since: now, LastUp: data.LastUp, UpThen: data.Up, Unknown: data.Unknown}
}

// stops says who is in the field, for nothing may be armed then.
func (s *safeBook) stops() []string {
	if s.b == nil {
		return nil
	}
	switch in := s.b.In(); len(in) {
	case 0:
		return nil
	case 1:
		return []string{show.Clean(in[0].Name) + " is in the field"}
	case 2:
		return []string{show.Clean(in[0].Name+" and "+in[1].Name) + " are in the field"}
	default:
		return []string{fmt.Sprintf("%d people are in the field", len(in))}
	}
}

// whoIsOut says who is in the field, whoever sent them.
func (d *Deck) whoIsOut() []string { return append(d.field.stops(d.clock.Now()), d.safe.stops()...) }

// safeDeed takes who goes into the field, or who is back, as asked for at time stamp.
func (d *Deck) safeDeed(by show.By, a show.ScriptAction, stamp time.Time) {
	var err error
	switch {
	case d.safe.b == nil:
		err = errors.New("this run keeps no book of who is in the field")
	case a.Kind == show.KindBack:
		d.endAgain()
		err = d.goBack(by, a.Text)
	default:
		err = d.goIn(by, a, stamp)
	}
	if err != nil {
		d.refuseDeed(by, askedWord(a), err.Error())
	}
}

func (d *Deck) goBack(by show.By, name string) error {
	if as, ok := d.safe.b.Named(name); ok {
		name = as
	}
	if err := d.safe.b.Back(name, d.clock.Now()); err != nil {
		return err
	}
	d.moved("back: ", by, session.KindBack, session.Data{Who: name})
	return nil
}

// goIn lets somebody in, while the show is safe. Before the waiting time is over it must
// be asked for twice.
func (d *Deck) goIn(by show.By, a show.ScriptAction, stamp time.Time) error {
	name, now := a.Text, d.clock.Now()
	switch s := d.t.State(); {
	case s != show.Safe:
		d.endAgain()
		return fmt.Errorf("nobody goes into the field while the show is %s", s)
	case d.stopAfter(stamp):
		d.endAgain()
		return errors.New(show.CauseOverruled.Sentence(0, 0))
	}
	if as, ok := d.safe.b.Named(name); ok {
		d.endAgain()
		return fmt.Errorf("%s is in the field already", as)
	}
	left := d.safe.b.Left(now)
	if left > 0 && !a.Command.Anyway {
		why := timebase.ClockUp(left) + " left to wait"
		if !d.asksTwice(Again{Enter: name, Why: why}, by, stamp, func(said string) { d.refuseEntry(by, said) }) {
			return nil
		}
	}
	d.endAgain()
	if err := d.safe.b.Enter(name, now); err != nil {
		return err
	}
	d.moved("in the field: ", by, session.KindEntered, session.Data{Who: name, LeftNS: int64(left)})
	return nil
}

// moved tells who went in or came back, which makes answers old.
func (d *Deck) moved(said string, by show.By, kind string, data session.Data) {
	d.safe.publish()
	d.ready.upset(kind, show.NoCause)
	urgency := Plain
	if data.LeftNS > 0 {
		urgency = Alarm
	}
	d.say(urgency, said+d.tell(by, kind, data))
}

// refuseEntry refuses to let somebody in before the waiting time is over.
func (d *Deck) refuseEntry(by show.By, said string) {
	if d.cfg.Director == nil { // a drill scores it: its script has not gone wrong
		d.refused++
	}
	d.entryBy(by, session.KindRefused, session.Data{Asked: "enter", Cause: show.CauseWaiting, Text: said})
	d.say(Alarm, said)
}
