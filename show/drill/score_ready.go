package drill

import (
	"slices"
	"strings"

	"drylane/show"
	"drylane/show/session"
	"drylane/show/words"
)

// fieldMeasures are of who answers before the arming and of who is in the field. They
// count whatever else became of the run: a cut, too, is made safe by the rules.
var fieldMeasures = map[Kind]func(*scorer) finding{
	ArmsWithSomebodyOut: (*scorer).armsWithSomebodyOut,
	ArmsWithoutGo:       (*scorer).armsWithoutGo,
	GoWithoutWord:       (*scorer).goWithoutWord,
	EarlyEntries:        (*scorer).earlyEntries,
	BackWithoutWord:     (*scorer).backWithoutWord,
}

// refusedFor reports whether the entry is a command that was refused for one of the causes.
func (e *event) refusedFor(causes ...show.Cause) bool {
	return e.Kind == session.KindRefused && slices.Contains(causes, e.Data.Cause)
}

// times counts the events that are so.
func (s *scorer) times(so func(*event) bool) int {
	n := 0
	for i := range s.events {
		if so(&s.events[i]) {
			n++
		}
	}
	return n
}

func (s *scorer) armsWithSomebodyOut() finding {
	n := s.times(func(e *event) bool { return e.refusedFor(show.CauseSomebodyOut) })
	if n == 0 {
		return found(0, "none")
	}
	return found(Value(n), "arming was asked for %s while somebody was in the field", words.Times(n))
}

// armsWithoutGo counts the armings that were asked for while somebody had not said go, and
// those that were made all the same.
func (s *scorer) armsWithoutGo() finding {
	asked := s.times(func(e *event) bool { return e.refusedFor(show.CauseWithoutGo, show.CauseNoGo) })
	made := s.times(func(e *event) bool { return len(e.Data.Without) > 0 })
	switch {
	case made > 0:
		return found(Value(asked+made), "armed %s without every go", words.Times(made))
	case asked > 0:
		return found(Value(asked), "arming was asked for %s without every go", words.Times(asked))
	}
	return found(0, "nothing was armed without every go")
}

// byHand reports whether the trainee did it.
func (e *event) byHand() bool { return e.By == show.ByShooter || e.By == show.ByScript }

// said is what somebody last answered on the radio before event i, which is what the
// trainee goes by; NoAnswer where they did not. A call for a no-go is their no-go.
func (s *scorer) said(i int, who string) (last show.Answer) {
	for k := range s.events[:i] {
		e := &s.events[k]
		switch a := Deed(e.Data.Do).Answer(); {
		case !e.call() || !strings.EqualFold(e.Data.From, who):
		case e.wants(WantNoGo):
			last = show.AnswerNoGo
		case a != show.NoAnswer:
			last = a
		}
	}
	return last
}

// speaks reports whether somebody answers for themselves in the drill.
func (s *scorer) speaks(who string) bool {
	return slices.ContainsFunc(s.x.Steps, func(st Step) bool {
		return st.Do.Answer() != show.NoAnswer && strings.EqualFold(st.From, who)
	})
}

// goWithoutWord counts the goes that the trainee ticked for somebody who answers for
// themselves, and had not said go.
func (s *scorer) goWithoutWord() finding {
	var who []string
	for i := range s.events {
		e := &s.events[i]
		if e.Kind == session.KindAnswered && e.Data.Answer == show.AnswerGo && e.byHand() &&
			s.speaks(e.Data.Who) && s.said(i, e.Data.Who) != show.AnswerGo {
			who = append(who, e.Data.Who)
		}
	}
	return listed(who, "ticked go with no word of theirs")
}

// earlyEntries counts who was let in, or was asked to be, before the waiting time was
// over.
func (s *scorer) earlyEntries() finding {
	asked := s.times(func(e *event) bool { return e.refusedFor(show.CauseWaiting) })
	made := s.times(func(e *event) bool { return e.Kind == session.KindEntered && e.Data.LeftNS > 0 })
	switch {
	case made > 0:
		return found(Value(asked+made), "somebody was let in %s before the waiting time was over", words.Times(made))
	case asked > 0:
		return found(Value(asked), "somebody was to go in %s before the waiting time was over", words.Times(asked))
	}
	return found(0, "nobody went in before the waiting time was over")
}

// backWithoutWord counts those who were ticked as back and had not said so since they
// went in.
func (s *scorer) backWithoutWord() finding {
	var who []string
	for i := range s.events {
		e := &s.events[i]
		if e.Kind != session.KindBack || e.Data.Who == "" || !e.byHand() {
			continue
		}
		in := 0
		for k := range s.events[:i] {
			if x := &s.events[k]; x.Kind == session.KindEntered && strings.EqualFold(x.Data.Who, e.Data.Who) {
				in = k
			}
		}
		came := s.first(in, func(x *event) bool { return x.does(Back) && strings.EqualFold(x.Data.From, e.Data.Who) })
		if came < 0 || came > i {
			who = append(who, e.Data.Who)
		}
	}
	return listed(who, "ticked as back with no word of theirs")
}

// timeToNoGo is the wall time from a word that makes an answer old to the no-go for it, or
// to its withdrawal. A cut or an answer that was not there any more is as good.
func (s *scorer) timeToNoGo(call int) finding {
	at := s.noGo(call)
	who := text(s.events[call].Data.From)
	if !s.isGo(call) {
		return found(0, "%s was not go when the call came", who)
	}
	if at < 0 {
		return never("%s stayed go", who)
	}
	v := s.gap(call, at)
	return found(v, "%s was no go any more %s s after the call", who, v.text())
}

// isGo reports whether who speaks at a call had answered go.
func (s *scorer) isGo(call int) bool {
	answer := show.NoAnswer
	for i := range s.events[:call] {
		if e := &s.events[i]; e.Kind == session.KindAnswered && strings.EqualFold(e.Data.Who, s.events[call].Data.From) {
			answer = e.Data.Answer
		}
	}
	return answer == show.AnswerGo
}

// noGo is the place of what answers a call for a no-go, or -1.
func (s *scorer) noGo(call int) int {
	who := s.events[call].Data.From
	return s.first(call, func(e *event) bool {
		return e.is(show.Cut) || e.Kind == session.KindAnswered && strings.EqualFold(e.Data.Who, who) && e.Data.Answer != show.AnswerGo
	})
}

// describePeople says what was done about people, for a timeline: an answer on the radio
// stands there as it was said.
func describePeople(e *event, says string) (MomentKind, string) {
	switch {
	case e.Kind == session.KindAnswered && !e.byHand():
		return "", ""
	case e.Kind == session.KindAnswered:
		return IsAction, "answer: " + says
	case e.Kind == session.KindEntered:
		return IsAction, "in the field: " + says
	}
	return IsAction, "ticked as back: " + says
}
