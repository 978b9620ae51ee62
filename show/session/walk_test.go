package session

import (
	"testing"
	"time"

	"drylane/show"
	"drylane/show/timebase"
)

// TestWalk: the walk comes to every entry in order, with the transport as it
// was before the command that led to it and after, by the entries of the fixture.
func TestWalk(t *testing.T) {
	type want struct {
		action        show.Action
		by            show.By
		before, after show.State
		heard         timebase.Frame
	}
	wants := map[int64]want{
		6:  {show.Start, show.ByNobody, show.Armed, show.Running, 0},
		16: {show.Hold, show.ByNobody, show.Running, show.Held, 118_080},
		19: {show.Resume, show.ByNobody, show.Held, show.Running, 118_080},
		29: {show.Hold, show.ByEngine, show.Running, show.Held, 170_880},
		42: {show.Cut, show.ByEngine, show.Running, show.Safe, 343_680},
	}
	n := int64(0)
	for e, err := range format1(t).Walk() {
		if err != nil {
			t.Fatal(err)
		}
		if n++; e.N != n {
			t.Fatalf("entry %d came where %d was due", e.N, n)
		}
		w, ok := wants[n]
		switch {
		case !ok:
		case !e.Did || e.Command.Action != w.action || e.Command.By != w.by || e.Before.State() != w.before || e.After.State() != w.after || e.After.Heard() != w.heard:
			t.Errorf("entry %d: %v by %q, %s to %s at %d", n, e.Command.Action, e.Command.By, e.Before.State(), e.After.State(), e.After.Heard())
		case n == 19 && e.Command.HeldFor != 5500*time.Millisecond:
			t.Errorf("held for %v", e.Command.HeldFor)
		}
		if e.Kind == KindTap && e.Did {
			t.Error("a tap is no command")
		}
	}
	if n != 49 {
		t.Errorf("%d entries of 49", n)
	}
}

// TestWalkCanBeLeft: who has seen enough leaves, and begins anew.
func TestWalkCanBeLeft(t *testing.T) {
	log := format1(t)
	for range 2 {
		for e, err := range log.Walk() {
			if err != nil {
				t.Fatal(err)
			}
			if e.N == 20 {
				if e.Kind != "fired" || len(e.Events) == 0 {
					t.Errorf("entry 20 is %s with %d events", e.Kind, len(e.Events))
				}
				break
			}
		}
	}
}
