package console

import (
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/tui/internal/screentest"
)

// TestPlacesComeByThemselves: the list is worked out in the background. Until it is there
// no key waits for it, and none chooses a place that nobody has seen.
func TestPlacesComeByThemselves(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := newScene(t, 80, 24)
		begin := make(chan struct{})
		s.places.spawn = func(f func()) {
			go func() {
				<-begin
				f()
			}()
		}
		s.cutAt(50 * time.Second)
		s.press("u", "down", "a")
		s.look(screentest.Epoch)
		if got := s.run.List(); got != "" || s.mode != placeMode {
			t.Errorf("without a list: %q, mode %v", got, s.mode)
		}
		close(begin)
		synctest.Wait()
		s.look(screentest.Epoch)
		synctest.Wait()
		s.press("a")
		if got := s.run.List(); got != "re-enter 0s run-up 0s" {
			t.Errorf("with the list: %q", got)
		}
	})
}

// TestPlacesEndWithSafe: once the show is no longer safe the list is gone, and its keys
// are the run's again.
func TestPlacesEndWithSafe(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	scenes["cut-places"](s)
	s.do(show.Arm, 0, show.Command{})
	s.press("backspace")
	if got := s.run.List(); got != "cut" || s.mode != runMode {
		t.Errorf("%q, mode %v", got, s.mode)
	}
}

// TestArmAgainIsThePlace: where a place is armed only if it is asked for again, the same key
// asks for the same place, and not for the top of the show; once that is over, for the top.
func TestArmAgainIsThePlace(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	scenes["cut-places"](s)
	s.press("a")
	s.run.Snap.Again = deck.Again{Action: show.Reenter, Why: "no go from Spotter", Until: screentest.Epoch.Add(time.Second)}
	s.look(screentest.Epoch)
	if v := s.View(); !strings.Contains(v, "no go from Spotter: a again arms from there all the same") {
		t.Errorf("the screen does not say so:\n%s", v)
	}
	s.press("a")
	s.run.Snap.Again.Until = screentest.Epoch
	s.press("a")
	if got := s.run.List(); got != "re-enter 51.2s run-up 4s, re-enter 51.2s run-up 4s, arm" {
		t.Errorf("asked for %q", got)
	}
}
