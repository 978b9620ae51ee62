package crew

import (
	"testing"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/board"
	"drylane/show/makesafe"
	"drylane/show/ready"
)

// How the field stands is told in one line: what is there of board, list and people.
func TestFieldWords(t *testing.T) {
	field := &deck.FieldNow{Opened: epoch.Add(-time.Hour), Board: *board.New(board.Field{
		Devices: []board.Device{{Want: board.Want{Name: "M1"}, Fix: board.Fix{Walk: time.Minute}}, {Want: board.Want{Name: "M2"}}},
		Plants:  []board.Plant{{Device: "M2", Fault: board.Missing}}})}
	list := ready.New([]show.Ask{{Who: "Field"}, {Who: "Spotter"}})
	list.Give(ready.Deed{Who: "Field", Answer: show.AnswerGo})
	book := func(wait bool, in ...string) *deck.SafeNow {
		b := makesafe.New(time.Minute)
		if wait {
			b.Safe(epoch.Add(-20 * time.Second))
		}
		for _, name := range in {
			b.Enter(name, epoch.Add(-time.Second))
		}
		return &deck.SafeNow{Book: *b}
	}
	for want, s := range map[string]*deck.Snapshot{
		"":                          {},
		"expected 2, answering 1":   {Field: field},
		"go 1 of 2":                 {Ready: list, Safe: book(false)},
		"wait 0:40; in: Ada":        {Safe: book(true, "Ada")},
		"go 1 of 2; 2 in the field": {Ready: list, Safe: book(false, "Ada", "Ben")},
	} {
		if got := fieldWords(s, epoch); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
