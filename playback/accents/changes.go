package accents

import (
	"context"
	"sync/atomic"
	"time"

	"drylane/playback/folder"
	"drylane/playback/listen"
)

// Changes finds the moments at which the music of a sound file changes.
func Changes(ctx context.Context, f listen.File, tell listen.Tell) ([]time.Duration, error) {
	o := new(listen.Onsets)
	c := &listen.Changes{Onsets: o}
	if err := listen.To(ctx, f, tell, o, c); err != nil {
		return nil, err
	}
	return c.Score.Times(), nil
}

// InBackground finds the changes of a show's music for a console: from the cache at once,
// else by listening once idle is closed, at half speed so that the run does not suffer.
// What it returns gives them; known is false until they are there. A soundtrack that
// cannot be heard to its end has none. It ends with ctx.
func InBackground(ctx context.Context, f *folder.Folder, idle <-chan struct{}) func() (at []time.Duration, known bool) {
	var found atomic.Pointer[[]time.Duration]
	go func() {
		var at []time.Duration
		if c := new(listen.Changes); listen.Kept(f.SHA256, c) {
			at = c.Score.Times()
		} else {
			select {
			case <-idle:
			case <-ctx.Done():
				return
			}
			at, _ = Changes(ctx, f.Listened(), gently())
		}
		found.Store(&at)
	}()
	return func() ([]time.Duration, bool) {
		if at := found.Load(); at != nil {
			return *at, true
		}
		return nil, false
	}
}

// gently rests for as long as was worked since it last did.
func gently() listen.Tell {
	last := time.Now()
	return func(string, float64) {
		time.Sleep(min(time.Since(last), 100*time.Millisecond))
		last = time.Now()
	}
}
