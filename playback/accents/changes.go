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

// A Background finds the changes of a show's music for a console, while the run goes on.
type Background struct {
	f      *folder.Folder
	wished listen.Changes // of a pass that is made for the console anyway
	found  atomic.Pointer[[]time.Duration]
}

// InBackground returns one that has not been begun.
func InBackground(f *folder.Folder) *Background {
	return &Background{f: f, wished: listen.Changes{Onsets: new(listen.Onsets)}}
}

// Wishes are what a pass over the soundtrack may find besides what it is made for; nothing
// once the changes are known.
func (b *Background) Wishes() []listen.Wish {
	if _, known := b.Known(); known {
		return nil
	}
	return []listen.Wish{b.wished.Onsets, &b.wished}
}

// Go takes the changes from the cache at once; else what a pass with the Wishes has found,
// when that is over. Where it was not made, or not to its end, it listens alone, at half
// speed so that the run does not suffer. A soundtrack that cannot be heard to its end has no changes. It ends with ctx.
func (b *Background) Go(ctx context.Context, over <-chan struct{}) {
	if c := new(listen.Changes); listen.Kept(b.f.SHA256, c) {
		b.tell(c.Score.Times())
		return
	}
	select {
	case <-over:
	case <-ctx.Done():
		return
	}
	if b.wished.Score != nil {
		b.tell(b.wished.Score.Times())
		return
	}
	at, _ := Changes(ctx, b.f.Listened(), gently())
	b.tell(at)
}

func (b *Background) tell(at []time.Duration) { b.found.Store(&at) }

// Known returns the changes; known is false until they have been found.
func (b *Background) Known() (at []time.Duration, known bool) {
	if at := b.found.Load(); at != nil {
		return *at, true
	}
	return nil, false
}

// gently rests for as long as was worked since it last did.
func gently() listen.Tell {
	last := time.Now()
	return func(string, float64) {
		time.Sleep(min(time.Since(last), 100*time.Millisecond))
		last = time.Now()
	}
}
