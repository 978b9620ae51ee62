package session

import (
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/board"
)

// fieldLog is the log of a board with one module, whose repair takes three minutes:
// an entry a second.
func fieldLog(entries ...Entry) *Log {
	f := board.Field{Devices: []board.Device{{Want: board.Want{Name: "M1", Pins: []int{1}}, Fix: board.Fix{Walk: time.Minute, Work: time.Minute}}},
		Plants: []board.Plant{{Device: "M1", Fault: board.Missing}}}
	log := &Log{Header: Header{Field: &f, Soundtrack: Soundtrack{Rate: 8000}}}
	for i, e := range append([]Entry{{Kind: KindBoard}}, entries...) {
		e.N, e.Wall = int64(i+1), time.Unix(1_900_000_000+int64(i), 0)
		e.Data.SinceNS = int64(i) * int64(time.Second)
		log.Entries = append(log.Entries, e)
	}
	return log
}

// A log is done again at the board, and what the board would not have taken is found.
func TestFieldOfALog(t *testing.T) {
	mark := Entry{Kind: KindMarked, Data: Data{Device: "M1", Fault: board.Missing}}
	sent := Entry{Kind: KindSentOut, Data: Data{Device: "M1"}}
	armed := Entry{Kind: show.EventArmed.String()}
	refused := Entry{Kind: KindRefused, Data: Data{Cause: show.CauseSomebodyOut}}
	for _, c := range []struct {
		name string
		log  *Log
		want string
	}{
		{"no board", &Log{}, ""},
		{"marked and sent", fieldLog(mark, sent, refused), ""},
		{"armed", fieldLog(mark, armed), ""},
		{"armed with somebody out", fieldLog(mark, sent, armed), "event 4 differs: the session says armed, the replay says refused: somebody is in the field at M1"},
		{"sent twice", fieldLog(sent, sent), "event 3 differs: the session says sent out, the replay says refused: somebody is at M1 already"},
		{"a device that there is not", fieldLog(Entry{Kind: KindMarked, Data: Data{Device: "M9", Fault: board.Missing}}), `no device "M9" is on the board`},
		{"a fault that it cannot have", fieldLog(Entry{Kind: KindMarked, Data: Data{Device: "M1", Fault: board.WrongFile}}), `a module cannot be marked "wrong file"`},
	} {
		_, err := c.log.Field()
		if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	run, err := fieldLog(mark, armed, mark, sent).Field()
	if err != nil || !run.Armed || run.At != 2*time.Second {
		t.Errorf("%+v, %v: the first arming was after 2 s", run, err)
	}
}
