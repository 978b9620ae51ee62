package report

import (
	"fmt"
	"time"

	"drylane/show"
	"drylane/show/makesafe"
	"drylane/show/session"
	"drylane/show/timebase"
	"drylane/show/words"
)

// ReadyLines tell who answered before the arming, and whether the show was armed without;
// none when nobody was asked.
func (r *Run) ReadyLines() []string {
	if r.Ready == nil {
		return nil
	}
	lines := []string{"Go / no-go: " + fmt.Sprint(len(r.Ready.Lines())) + " asked"}
	for i, a := range r.Ready.Answers {
		switch {
		case a.Answer == show.AnswerNoGo:
			lines = append(lines, noGoWords(r.Ready.Answers[i:]))
		case a.Turn != "":
			lines = append(lines, a.Who+" answered out of turn: "+a.Turn+" was next")
		}
	}
	if n := r.Ready.RefusedFor(show.CauseNoGo); n > 0 {
		lines = append(lines, "arming or starting was refused "+words.Times(n)+" because of a no-go")
	}
	if n := r.Ready.RefusedFor(show.CauseWithoutGo); n > 0 {
		lines = append(lines, "arming was asked for "+words.Times(n)+" without every go")
	}
	for _, a := range r.Ready.Armings {
		said := "armed with every go"
		if len(a.Without) > 0 {
			said = "ARMED WITHOUT GO from " + words.List(a.Without)
		}
		lines = append(lines, said)
	}
	if len(r.Ready.Armings) == 0 {
		lines = append(lines, "the show was not armed")
	}
	return cleaned(lines)
}

// noGoWords tell what became of the no-go with which the answers begin.
func noGoWords(answers []session.Answered) string {
	said := "no-go from " + answers[0].Who
	if why := answers[0].Reason; why != "" {
		said += " (" + why + ")"
	}
	for _, a := range answers[1:] {
		switch {
		case a.Who != answers[0].Who:
		case a.Answer == show.AnswerGo:
			return said + ", go later"
		case a.Answer == show.NoAnswer:
			return said + ", withdrawn later"
		default:
			return said + ", and again"
		}
	}
	return said + ", to the end"
}

// SafeLines tell since when the show was safe each time, whether the waiting time was
// kept, and who was in the field for how long; none where nobody kept a book of that.
func (r *Run) SafeLines() []string {
	if r.Safe == nil {
		return nil
	}
	var lines []string
	for _, s := range r.Safe.Stops {
		lines = append(lines, r.stopWords(&s))
		for _, v := range s.Visits {
			lines = append(lines, r.visitWords(v))
		}
	}
	return cleaned(append(lines, r.urgedLines()...))
}

// InFieldLines are the lines of who was in the field alone; none when nobody was, and
// nobody was to be.
func (r *Run) InFieldLines() []string {
	if r.Safe == nil {
		return nil
	}
	var lines []string
	for _, v := range r.Safe.Visits() {
		lines = append(lines, r.visitWords(v))
	}
	if lines = append(lines, r.urgedLines()...); len(lines) == 0 {
		return nil
	}
	return cleaned(append([]string{"In the field:"}, lines...))
}

// stopWords say since when the show was safe, for how long, and what was up then.
func (r *Run) stopWords(s *session.SafeStop) string {
	how := "cut"
	if s.Ended {
		how = "ended"
	}
	said := fmt.Sprintf("safe since %s, %s at %s", s.From.Local().Format("15:04:05"), how, timebase.ClockMillis(r.At(s.Heard)))
	if !s.To.IsZero() {
		said += ", for " + timebase.Clock(s.To.Sub(s.From)) + " until it was armed again"
	}
	return said + "; then " + s.LastUp
}

// visitWords say who was in for how long, and whether the waiting time was kept.
func (r *Run) visitWords(v makesafe.Visit) string {
	said := v.Name + " was in for " + timebase.Clock(v.Back.Sub(v.In))
	if v.Back.IsZero() {
		said = v.Name + " went in and was NOT BACK when the log ended"
	}
	switch {
	case v.Left > 0:
		return said + ", BEFORE the waiting time was over: " + timebase.ClockUp(v.Left) + " of " + timebase.ClockUp(r.Safe.Wait()) + " was left"
	case len(r.Safe.Stops) > 0 && !v.In.Before(r.Safe.Stops[0].From):
		return said + ", after the waiting time of " + timebase.ClockUp(r.Safe.Wait())
	}
	return said + ", before the first arming"
}

// urgedLines tell what was asked for and refused.
func (r *Run) urgedLines() (lines []string) {
	if n := len(r.Safe.Early); n > 0 {
		lines = append(lines, "somebody was to go in "+words.Times(n)+" before the waiting time was over")
	}
	if n := len(r.Safe.Urged); n > 0 && r.Field == nil { // else the board's account says so
		lines = append(lines, "arming was asked for "+words.Times(n)+" while somebody was in the field")
	}
	return lines
}

func cleaned(lines []string) []string {
	for i, l := range lines {
		lines[i] = show.Clean(l)
	}
	return lines
}

// people writes each no-go, each arming without every go, and who was in the field for how
// long.
func (t *table) people(r *Run) {
	if r.Ready != nil {
		for _, a := range r.Ready.Answers {
			if a.Answer == show.AnswerNoGo {
				t.put(thing{what: "no-go", name: a.Who, note: a.Reason})
			}
		}
		for _, a := range r.Ready.Armings {
			if len(a.Without) > 0 {
				t.put(thing{what: "armed without go", note: words.List(a.Without)})
			}
		}
	}
	if r.Safe == nil {
		return
	}
	for _, v := range r.Safe.Visits() {
		x := thing{what: "in the field", name: v.Name, note: r.visitWords(v)}
		if !v.Back.IsZero() {
			x.length = timebase.Seconds(v.Back.Sub(v.In).Truncate(time.Millisecond))
		}
		t.put(x)
	}
}
