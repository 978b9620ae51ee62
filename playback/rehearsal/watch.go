package rehearsal

import (
	"sync"
	"time"

	"drylane/show"
)

// watchEvery is how often the soundtrack's file is looked at while a run is open.
const watchEvery = time.Second

// watch fails the run when the file that it plays changes beneath it: what is heard
// then is not what the log says. It looks from a goroutine of its own, since a disk
// may let it wait. stop ends it.
func (r *Run) watch(every time.Duration) (stop func()) {
	end := make(chan struct{})
	go func() {
		tick := time.NewTicker(every)
		defer tick.Stop()
		for {
			select {
			case <-end:
				return
			case <-tick.C:
			}
			if r.MusicChanged() != nil {
				r.Deck.Fail(show.CauseFileChanged)
				return
			}
		}
	}()
	return sync.OnceFunc(func() { close(end) })
}
