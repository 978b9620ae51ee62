package crew

import (
	"fmt"
	"strings"
	"time"

	"drylane/show/crew"
	"drylane/show/words"
	"drylane/tui/screen"
)

// A fact is a row under the clock: what it is about, and what is so.
type fact struct {
	label, text string
	style       screen.Style
}

// labelWide is how many columns a label has.
const labelWide = 6

// mostFactRows is how many rows the facts have at most: the lists need the others.
const mostFactRows = 9

// facts are the facts in rows of w columns. A long one goes on in the rows below it. What
// is so only now and then has no row while it is not.
func (m *Screen) facts(w int) (rows []fact) {
	for _, f := range m.allFacts(w - labelWide - 1) {
		for _, text := range m.Wrap(f.text, w-labelWide-1) {
			rows = append(rows, fact{f.label, text, f.style})
			f.label = ""
		}
	}
	return rows[:min(len(rows), mostFactRows)]
}

// allFacts are the facts, the first of which is made to fit in room columns.
func (m *Screen) allFacts(room int) []fact {
	s, list := &m.view.State, []fact{m.factNext(room)}
	if m.view.Lost {
		return append(list, fact{"HOLD", "held here; treat everything as live", screen.Alarm}, m.factLink())
	}
	if enter := m.view.Enter(); enter != "" { // whoever has acknowledged a hold reads it, too
		list = append([]fact{{"FIELD", enter, screen.Alarm}}, list...)
	}
	if s.Hold > 0 {
		list = append(list, fact{"HOLD", heldBy(s.Why), screen.Alarm})
	}
	if s.Forbids != "" {
		list = append(list, fact{"RESUME", "refused by " + Refused(s.Forbids), screen.Alarm})
	}
	if m.asks() {
		list = append(list, fact{"ASKED", "to stand " + m.Role.Words() + " down; " + m.keys.Name(actStandDown) + " takes that back", screen.Caution})
	}
	sky := fact{"SKY", screen.StillUp(s.Up-s.Unknown, s.Clear, s.Unknown), screen.Normal}
	return append(append(list, sky, m.factLink()), m.factSound()...)
}

// factSound says how what is heard here stands; it is not there where nothing is.
func (m *Screen) factSound() []fact {
	if m.Sound == nil {
		return nil
	}
	s := m.Sound()
	switch {
	case s == nil:
		return nil
	case s.Alarming():
		return []fact{{"SOUND", s.Words(), screen.Alarm}}
	}
	return []fact{{"SOUND", s.Words(), screen.Normal}}
}

// heldBy says who called for a hold and why, as far as it was told.
func heldBy(why string) string {
	if why == "" {
		return "nobody has told why"
	}
	return why
}

func (m *Screen) factNext(room int) fact {
	switch cue := m.next(); {
	case m.view.Lost:
		return fact{"NEXT", "not known while the link is lost", screen.Alarm}
	case !m.Role.Kind.Sees(crew.SeesOwn) && !m.Role.Kind.Sees(crew.SeesAll):
		return fact{"NUDGE", words.Nudge(m.view.State.Nudge), screen.Normal}
	case cue == nil:
		return fact{"NEXT", "no more cues", screen.Quiet}
	case m.wasCut():
		return fact{"NEXT", "cut before cue " + cue.ID, screen.Quiet}
	default:
		return fact{"NEXT", screen.Next(max(0, m.view.Until(cue.Lit)), max(0, m.view.Until(cue.Seen)), cue.ID, cue.Position, room), screen.Strong}
	}
}

// Refused says who refuses a resume and why, behind a label that says the rest.
func Refused(forbids string) string { return strings.ReplaceAll(forbids, " refuses it", "") }

// factLink says how old the latest word of the lead is, and how well its clock is
// known.
func (m *Screen) factLink() fact {
	v := &m.view
	switch {
	case v.Lost:
		return fact{"LINK", fmt.Sprintf("LOST: nothing heard for %s; it comes back by itself", screen.SpanUp(v.Silent)), screen.Alarm}
	case v.Out != "":
		return fact{"LINK", "NOT IN THE CREW any more: " + v.Out, screen.Alarm}
	case !v.Clocked:
		return fact{"LINK", "there; the lead's clock is not known yet", screen.Caution}
	}
	text := "clock " + Within(v.Clock.Bound) + ", round trip " + spanMS(v.Clock.Delay)
	if v.Clock.Bound > 50*time.Millisecond {
		return fact{"LINK", text, screen.Caution}
	}
	return fact{"LINK", text, screen.Normal}
}

// Within says how well a clock is known, rounded up: within 3 ms.
func Within(d time.Duration) string { return "within " + spanMS(d) }

// spanMS is a short span, rounded up: it is a bound.
func spanMS(d time.Duration) string {
	if d < time.Millisecond {
		return fmt.Sprintf("0.%d ms", min(9, (d+99*time.Microsecond)/(100*time.Microsecond)))
	}
	return fmt.Sprintf("%d ms", (d+time.Millisecond-1)/time.Millisecond)
}

// saysAnswer reports whether the latest answer is to be read before all that stands: what
// was not done, and what was asked of the shooter, shows nowhere else at once.
func (m *Screen) saysAnswer() bool {
	a := m.view.Answer
	return !m.answerAt.IsZero() && m.now.Sub(m.answerAt) <= screen.MessageFor &&
		(a.Refused != "" || a.Deed == crew.StandDown || a.Deed == crew.Withdraw)
}

// answerText is that answer, with the key for the hold that is still to be acknowledged
// where there is room for both.
func (m *Screen) answerText() (string, screen.Style) {
	text, style := "asked the shooter to stand the position down", screen.Good
	switch a := m.view.Answer; {
	case a.Refused != "":
		text, style = "not done: "+a.Refused, screen.Alarm
	case a.Deed == crew.Withdraw:
		text = "the shooter is not asked any more"
	}
	more := text + "; " + m.keys.Name(actAcknowledge) + " acknowledges the hold"
	if m.awaited() && m.Width(more) <= m.canvas.W-2 {
		text = more
	}
	return text, style
}

// struckText says what it means to be struck off.
func (m *Screen) struckText() string {
	text := "STRUCK OFF: the shooter does not wait for your answer"
	if m.view.State.Hold > 0 {
		text += "; " + m.keys.Name(actAcknowledge) + " acknowledges"
	}
	return text
}
