package inspect

import (
	"context"
	"sync/atomic"

	"drylane/playback/folder"
	"drylane/show/check"
	"drylane/show/lock"
)

// A LockReading is how an opened show stands to its lock: what is known at once, and
// in a while the companions too, which are read in the background.
type LockReading struct {
	now  atomic.Pointer[check.Lock]
	done chan struct{}
}

// ReadLock holds an opened show against its lock. What takes time is done after it
// returns, until ctx ends; the show may be closed meanwhile.
func ReadLock(ctx context.Context, l *folder.Folder) *LockReading {
	r := &LockReading{done: make(chan struct{})}
	first := Lock(l)
	r.now.Store(&first)
	if len(first.Unread) == 0 {
		close(r.done)
		return r
	}
	go func() {
		defer close(r.done)
		known := func(was, is lock.Entry) string {
			if is.Role == lock.RoleCompanion {
				return ""
			}
			return hashed(l, is.File)
		}
		listen := func(was, is lock.Entry) bool { return is.Role == lock.RoleCompanion && retagged(was, is) }
		full := lockFacts(l.Show, &locker{ctx: ctx, files: l.Files}, known, listen)
		if ctx.Err() == nil {
			r.now.Store(&full)
		}
	}()
	return r
}

// Now is what is known by now. Safe to call from any goroutine, as all of these.
func (r *LockReading) Now() check.Lock { return *r.now.Load() }

// Done is closed when nothing more will be known.
func (r *LockReading) Done() <-chan struct{} { return r.done }

// Words say in a few words how the show stands to its lock by now: as locked,
// changed, not locked, and what has not been read yet.
func (r *LockReading) Words() string {
	switch f := r.Now(); {
	case f.Open != "":
		return "its lock cannot be read: " + f.Open
	case f.Lock == nil:
		return "not locked"
	default:
		return f.Lock.State(f.Changes, f.Unread)
	}
}
