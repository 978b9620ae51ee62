package accents

import (
	"context"
	"io"
	"sync/atomic"
	"time"

	"drylane/playback/folder"
)

// Changes finds the moments at which the music of a sound file changes, or takes them
// from the user's cache. A file that nobody has listened to is decoded once, and its
// onsets are found and kept in the same pass.
func Changes(ctx context.Context, name string, open func() (io.ReadSeekCloser, error), tell Tell) ([]time.Duration, error) {
	h, err := known(ctx, name, open, tell)
	if err != nil {
		return nil, err
	}
	if h.score == nil {
		if err := h.listen(ctx, open, tell); err != nil {
			return nil, err
		}
	}
	return h.score.Times(), nil
}

// InBackground finds the changes of a show's music for a console: from the cache at once,
// else by listening once idle is closed, at half speed so that the run does not suffer.
// What it returns gives them; known is false until they are there. A soundtrack that
// cannot be heard to its end has none. It ends with ctx.
func InBackground(ctx context.Context, f *folder.Folder, idle <-chan struct{}) func() (at []time.Duration, known bool) {
	var found atomic.Pointer[[]time.Duration]
	go func() {
		var at []time.Duration
		if s := cachedScore(f.SHA256); s != nil {
			at = s.Times()
		} else {
			select {
			case <-idle:
			case <-ctx.Done():
				return
			}
			at, _ = Changes(ctx, f.Show.Soundtrack.File, f.MusicFile, gently())
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
func gently() Tell {
	last := time.Now()
	return func(string, float64) {
		time.Sleep(min(time.Since(last), 100*time.Millisecond))
		last = time.Now()
	}
}
