package deck

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"drylane/show"
	"drylane/show/ready"
	"drylane/show/session"
	"drylane/show/words"
)

// A readyList is the run's go / no-go list; without one its list is nil.
type readyList struct {
	list *ready.List
	now  *ready.List // for snapshots; replaced, never written to
	said time.Time   // when a go was last asked for at the keys
}

// goEvery is how soon one go at the keys may follow another: sooner, it is the key that
// repeats, and nobody has said anything.
const goEvery = 250 * time.Millisecond

// openReady begins the list.
func (d *Deck) openReady() {
	if d.cfg.Ready != nil {
		d.ready.list = ready.New(d.cfg.Ready)
		d.ready.publish()
	}
}

func (r *readyList) publish() {
	copied := *r.list
	r.now = &copied
}

// upset makes old what an entry of that kind makes old.
func (r *readyList) upset(kind string, cause show.Cause) {
	if why := session.Upsets(kind, cause); r.list != nil && why != ready.NoUpset {
		r.list.Upset(why)
		r.publish()
	}
}

// readyDeed takes an answer that was asked for at time stamp.
func (d *Deck) readyDeed(by show.By, a show.ScriptAction, stamp time.Time) {
	d.endAgain()
	repeats := by == show.ByShooter && a.Answer == show.AnswerGo && stamp.Sub(d.ready.said) < goEvery
	if by == show.ByShooter {
		d.ready.said = stamp
	}
	if repeats {
		return
	}
	deed, err := d.readyDeedOf(a)
	switch {
	case err != nil:
	case a.Answer == show.AnswerGo && d.stopAfter(stamp):
		err = errors.New(show.CauseOverruled.Sentence(0, 0))
	default:
		err = d.give(by, deed)
	}
	if err != nil {
		d.refuseDeed(by, askedWord(a), err.Error())
	}
}

// askedWord is the word for what was asked for.
func askedWord(a show.ScriptAction) string {
	switch {
	case a.Kind == show.KindEnter:
		return "enter"
	case a.Kind == show.KindBack:
		return "back"
	case a.Answer == show.NoAnswer:
		return "withdraw"
	}
	return string(a.Answer)
}

// readyDeedOf reads whose answer it is; a go that names nobody is of who answers next.
func (d *Deck) readyDeedOf(a show.ScriptAction) (deed ready.Deed, err error) {
	list := d.ready.list
	if list == nil {
		return deed, errors.New("this run has no go / no-go list")
	}
	deed.Answer = a.Answer
	if a.Text == "" {
		i := list.Next()
		if i < 0 {
			return deed, errors.New("everybody is go")
		}
		deed.Who = list.Lines()[i].Who
		return deed, nil
	}
	i, rest, ok := list.Find(a.Text)
	if !ok {
		return deed, fmt.Errorf("found %q; wanted one of: %s", show.Shorten(a.Text, 60), words.List(whoOf(list)))
	}
	deed.Who, deed.Reason = list.Lines()[i].Who, rest
	return deed, nil
}

func whoOf(l *ready.List) (who []string) {
	for _, x := range l.Lines() {
		who = append(who, x.Who)
	}
	return who
}

// give takes an answer, if the run stands so that there is one to take.
func (d *Deck) give(by show.By, deed ready.Deed) error {
	if s := d.t.State(); s != show.Safe && s != show.Armed {
		return fmt.Errorf("answers are taken before the start, and the show is %s", s)
	}
	turn, err := d.ready.list.Give(deed)
	if err != nil {
		return err
	}
	d.ready.publish()
	said := d.tell(by, session.KindAnswered, session.Data{Who: deed.Who, Answer: deed.Answer, Reason: deed.Reason, Turn: turn})
	urgency := Plain
	if deed.Answer == show.AnswerNoGo || turn != "" {
		urgency = Alarm
	}
	d.say(urgency, said)
	return nil
}

// spoken takes an answer that was given on the radio of a drill.
func (d *Deck) spoken(who string, a show.Answer, reason string) {
	if d.ready.list == nil {
		return
	}
	deed := ready.Deed{Who: who, Answer: a}
	if a == show.AnswerNoGo {
		deed.Reason = reason
	}
	// Who says go twice, or says it in a running show, has said nothing new.
	_ = d.give(show.ByEngine, deed)
}

// notReady refuses to arm while somebody says no and, until it is asked for again, while
// somebody has not said go.
//
// A no-go is not overruled by pressing twice: who said it says go, or the shooter
// withdraws it, and both are in the log. When in doubt, the show waits.
func (d *Deck) notReady(c *show.Command, stamp time.Time) (refused bool) {
	if d.ready.list == nil || d.t.State() != show.Safe {
		return false
	}
	if d.against(*c) {
		return true
	}
	missing := d.ready.missing()
	if len(missing) == 0 || c.Anyway {
		return false
	}
	c.Anyway = d.asksTwice(Again{Action: c.Action, Why: d.ready.without(missing), from: c.From}, c.By, stamp,
		func(said string) { d.refuseScored(*c, show.CauseWithoutGo, said) })
	return !c.Anyway
}

// missing are those whose go is missing; none without a list.
func (r *readyList) missing() []string {
	if r.list == nil {
		return nil
	}
	return r.list.Missing()
}

// without says who has not said go, and who is next where they are not named.
func (r *readyList) without(missing []string) string {
	if len(missing) > mostNamed {
		return r.noGoFrom(missing) + ", " + show.Clean(missing[0]) + " is next"
	}
	return r.noGoFrom(missing)
}

// mostNamed is how many of those who have not said go are named; of more it is said how
// many.
const mostNamed = 2

func (r *readyList) noGoFrom(missing []string) string {
	if n := len(missing); n > mostNamed {
		return fmt.Sprintf("no go from %d of %d", n, len(r.list.Lines()))
	}
	return "no go from " + show.Clean(words.List(missing))
}

// against refuses what makes the field live while somebody says no.
func (d *Deck) against(c show.Command) (refused bool) {
	if d.ready.list == nil {
		return false
	}
	no := d.ready.list.Against()
	if len(no) == 0 {
		return false
	}
	i := slices.IndexFunc(d.ready.list.Lines(), func(l ready.Line) bool { return l.Who == no[0] })
	said := no[0]
	if why := d.ready.list.Lines()[i].Reason; why != "" {
		said += " (" + why + ")"
	}
	if more := len(no) - 1; more > 0 {
		said += fmt.Sprintf(" and %d more", more)
	}
	d.refuseScored(c, show.CauseNoGo, "cannot "+c.Action.String()+": no-go from "+show.Clean(said))
	return true
}
