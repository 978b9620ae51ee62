package console

import (
	"testing"
	"testing/synctest"
	"time"

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
