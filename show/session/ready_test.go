package session

import (
	"errors"
	"strings"
	"testing"
	"time"

	"drylane/show"
)

// people is a log of entries, each a second after the one before.
func people(entries ...Entry) *Log {
	log := &Log{Header: Header{Ready: []show.Ask{{Who: "Field"}, {Who: "Sound", Keeps: true}}, Safe: &Safe{WaitNS: int64(time.Minute)}}}
	for i, e := range entries {
		e.N, e.Wall = int64(i+1), time.Date(2030, 6, 1, 21, 0, i, 0, time.UTC)
		log.Entries = append(log.Entries, e)
	}
	return log
}

func answered(who string, a show.Answer) Entry {
	return Entry{Kind: KindAnswered, Data: Data{Who: who, Answer: a}}
}

var (
	armed   = Entry{Kind: show.EventArmed.String()}
	cut     = Entry{Kind: show.EventCut.String(), Data: Data{Up: 2, LastUp: "7"}}
	entered = Entry{Kind: KindEntered, Data: Data{Who: "Ada"}}
	back    = Entry{Kind: KindBack, Data: Data{Who: "Ada"}}
)

// What a log says of answers and of people in the field is checked against what the rules
// let happen.
func TestPeopleAreDoneAgain(t *testing.T) {
	for _, c := range []struct {
		name string
		log  *Log
		want string // of the error; empty for none
	}{
		{"all in order", people(answered("Field", show.AnswerGo), entered, back, armed, cut, entered, back, armed), ""},
		{"against a no-go", people(answered("Field", show.AnswerNoGo), armed), "event 2 differs: the session says armed, the replay says refused: no-go from Field"},
		{"with somebody in", people(entered, armed), "event 2 differs: the session says armed, the replay says refused: Ada is in the field"},
		{"back from nowhere", people(back), "event 1 differs: the session says back, the replay says refused: Ada is not in the field"},
		{"go twice", people(answered("Field", show.AnswerGo), answered("Field", show.AnswerGo)), "event 2 differs: the session says answered, the replay says refused: Field is go already"},
		{"nobody's answer", people(answered("Cook", show.AnswerGo)), "event 1 differs"},
	} {
		_, ready := c.log.Ready()
		_, safe := c.log.MadeSafe()
		err := errors.Join(ready, safe)
		if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
}

// What was armed without, and the times for which it was safe, with who was in then.
func TestPeopleOfALog(t *testing.T) {
	log := people(answered("Sound", show.AnswerGo), entered, back, armed, cut, entered, back, armed, cut)
	ready, err := log.Ready()
	if err != nil || len(ready.Armings) != 2 || strings.Join(ready.Armings[0].Without, " ") != "Field" || strings.Join(ready.Armings[1].Without, " ") != "Field Sound" {
		t.Errorf("%+v, %v", ready, err)
	}
	safe, err := log.MadeSafe()
	if err != nil || len(safe.Stops) != 2 || len(safe.Stops[0].Visits) != 1 || len(safe.Stops[1].Visits) != 0 {
		t.Fatalf("%+v, %v", safe, err)
	}
	s := safe.Stops[0]
	if s.To.Sub(s.From) != 3*time.Second || s.LastUp != "2 still up by the list, cue 7 the last" || s.Visits[0].Left != 59*time.Second {
		t.Errorf("%+v", s)
	}
	if !safe.Stops[1].To.IsZero() {
		t.Errorf("%+v", safe.Stops[1])
	}
}

// A log without the rules was not asked, whatever stands in it.
func TestLogsWithoutTheRules(t *testing.T) {
	log := people(armed, entered, armed)
	log.Header.Ready, log.Header.Safe = nil, nil
	ready, err := log.Ready()
	safe, err2 := log.MadeSafe()
	if ready != nil || safe != nil || err != nil || err2 != nil {
		t.Errorf("%v, %v; %v, %v", ready, safe, err, err2)
	}
}
