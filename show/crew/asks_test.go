package crew

import "testing"

// TestAsksDown: what a position asks for stands, through a hold and through a lost link,
// until it is done, taken back, or they leave or take another role.
func TestAsksDown(t *testing.T) {
	ask := func(r *Roster) { r.AskDown("b", "loose rack", sec) }
	for name, end := range map[string]func(*Roster){
		"done":     func(r *Roster) { r.StoodDown("Beacon") },
		"taken":    func(r *Roster) { r.Withdraw("b", 9*sec) },
		"left":     func(r *Roster) { r.Leave("b", 9*sec) },
		"new role": func(r *Roster) { r.Join("b", "Ben", Role{Kind: Spotter}, 9*sec) },
	} {
		r := three(t)
		ask(r)
		r.Called(2 * sec)
		r.Look(8 * sec)
		r.StrikeOff("Ben")
		r.Over()
		if got := AskWords(r.Asking()); got != "Ben asks to stand Beacon down" {
			t.Errorf("%s: before it, %q", name, got)
		}
		if end(r); len(r.Asking()) > 0 {
			t.Errorf("%s: still asks: %+v", name, r.Asking())
		}
	}
}

// TestAsksDownOnce: who asks twice asks once, who has no position asks for nothing, and
// the first to ask is named first.
func TestAsksDownOnce(t *testing.T) {
	r := three(t)
	if events, err := r.AskDown("b", "loose\nrack", sec); err != nil || whats(events) != "Ben asks to stand down" || events[0].Why != "loose rack" {
		t.Errorf("%+v, %v", events, err)
	}
	if events, err := r.AskDown("b", "", 2*sec); err != nil || len(events) > 0 {
		t.Errorf("asked twice: %+v, %v", events, err)
	}
	if _, err := r.AskDown("c", "", sec); err == nil {
		t.Error("a listener has a position")
	}
	if events, _ := r.Withdraw("a", sec); len(events) > 0 {
		t.Errorf("who never asked takes back %+v", events)
	}
	for i, position := range []string{"Mole", "Quay", "Mole", "Barge"} {
		id := string(rune('d' + i))
		r.Join(id, "N"+id, Role{Position, position}, sec)
		r.AskDown(id, "", sec/2)
	}
	if got := AskWords(r.Asking()); got != "5 ask to stand down: Mole, Quay and 2 more" {
		t.Errorf("%q", got)
	}
	if r.StoodDown("Mole"); len(r.Asking()) != 3 || r.StoodDown("Mole") {
		t.Errorf("of two at a position that is down some still ask: %+v", r.Asking())
	}
}
