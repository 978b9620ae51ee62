package deck

import (
	"errors"
	"sync"
	"time"

	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
)

// A logLoop writes entries in a goroutine of its own, so that a slow disk never
// holds up the music, and syncs them in another, so that a slow sync never holds
// up what is to be written next.
type logLoop struct {
	w       *session.Writer
	onEntry func(session.Entry)
	onTried func() // called when entries have been written, or refused
	untold  []session.Entry
	syncs   chan struct{} // holds one: there is something to sync
	written chan struct{} // closed when nothing more is written
	synced  chan struct{} // ... or synced

	mu       sync.Mutex
	cond     *sync.Cond
	queue    []session.Entry
	writing  bool
	closing  bool
	asked    int64     // how many entries were put
	tried    int64     // ... and how many of them have been written, or refused
	logged   int64     // the last entry written
	waiting  time.Time // when the first was written that no sync has begun for; zero for none
	syncing  time.Time // ... that one is under way for
	writeErr error     // why the last write failed; nil when it did not
	syncErr  error
}

// startLog starts to write to w. onTried must not wait for anything.
func startLog(w *session.Writer, onEntry func(session.Entry), onTried func()) *logLoop {
	l := &logLoop{w: w, onEntry: onEntry, onTried: onTried,
		syncs: make(chan struct{}, 1), written: make(chan struct{}), synced: make(chan struct{})}
	l.cond = sync.NewCond(&l.mu)
	go l.writeLoop()
	go l.syncLoop()
	return l
}

func (l *logLoop) put(e session.Entry) {
	l.mu.Lock()
	l.queue = append(l.queue, e)
	l.asked++
	l.mu.Unlock()
	l.cond.Broadcast()
}

func (l *logLoop) writeLoop() {
	defer close(l.written)
	for {
		batch, ok := l.next()
		if !ok {
			return
		}
		last, err := l.w.Append(batch...)
		l.took(int64(len(batch)), last, err)
		l.untold = append(l.untold, batch...)
		if err == nil {
			l.tell()
			select {
			case l.syncs <- struct{}{}:
			default: // one is to come, and will cover these
			}
		}
		l.cond.Broadcast()
		l.onTried()
	}
}

// next waits for entries to write; ok is false when there will be no more.
func (l *logLoop) next() (batch []session.Entry, ok bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for len(l.queue) == 0 && !l.closing {
		l.cond.Wait()
	}
	batch = l.queue
	l.queue, l.writing = nil, len(batch) > 0
	return batch, len(batch) > 0
}

// took takes down what came of writing n entries, the last of that number.
func (l *logLoop) took(n, last int64, err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.writeErr, l.tried, l.writing = err, l.tried+n, false
	if err != nil {
		return
	}
	l.logged = last
	if l.waiting.IsZero() {
		l.waiting = time.Now()
	}
}

// tell hands on what has been written. What a full disk refused at first is told
// when it is in the log after all.
func (l *logLoop) tell() {
	if l.onEntry != nil {
		for _, e := range l.untold {
			l.onEntry(e)
		}
	}
	l.untold = nil
}

func (l *logLoop) syncLoop() {
	defer close(l.synced)
	for range l.syncs {
		l.mu.Lock()
		l.waiting, l.syncing = time.Time{}, l.waiting
		l.mu.Unlock()
		err := l.w.Sync()
		l.mu.Lock()
		l.syncing, l.syncErr = time.Time{}, err
		l.mu.Unlock()
	}
}

// drain waits until everything put so far has been written, or refused.
func (l *logLoop) drain() {
	l.mu.Lock()
	defer l.mu.Unlock()
	for len(l.queue) > 0 || l.writing {
		l.cond.Wait()
	}
}

// A logState is how far the log has come.
type logState struct {
	asked, tried int64
	logged       int64         // the last entry written
	behind       time.Duration // for how long what has been written has waited to be synced
	err          error         // why it could not be written or synced; nil when it could
}

func (l *logLoop) state() logState {
	l.mu.Lock()
	defer l.mu.Unlock()
	s := logState{asked: l.asked, tried: l.tried, logged: l.logged, err: errors.Join(l.writeErr, l.syncErr)}
	if since := l.syncing; !since.IsZero() {
		s.behind = time.Since(since)
	} else if since := l.waiting; !since.IsZero() {
		s.behind = time.Since(since)
	}
	return s
}

// close writes and syncs what is queued and ends the loops.
func (l *logLoop) close() error {
	l.mu.Lock()
	l.closing = true
	l.mu.Unlock()
	l.cond.Broadcast()
	<-l.written
	close(l.syncs)
	<-l.synced
	return l.state().err
}

func (d *Deck) logEvent(e show.Event) {
	if entry, ok := session.FromEvent(e, d.t, d.cfg.LogCues); ok {
		d.fieldFacts(e.Kind, &entry.Data)
		entry.Wall = d.clock.timeOfDay()
		d.log.put(entry)
	}
}

// fieldFacts adds to an entry what the field has to do with it: who was not go when the
// show was armed, and what was still up when it was made safe.
func (d *Deck) fieldFacts(k show.EventKind, data *session.Data) {
	switch k {
	case show.EventArmed, show.EventReentered:
		data.Without = d.ready.missing()
	case show.EventCut, show.EventEnded:
		if d.safe.b == nil {
			return
		}
		var held time.Duration
		if d.was == show.Held {
			held = d.clock.Now().Sub(d.since)
		}
		data.LastUp, data.Up, data.Unknown = d.lastUp(held)
		d.madeSafe(data)
	}
}

// entry logs something that is not a transport's event and that nobody asked
// for, at the frame heard.
func (d *Deck) entry(kind string, data session.Data) { d.entryBy(show.ByNobody, kind, data) }

// entryBy is entry for what somebody asked for.
func (d *Deck) entryBy(by show.By, kind string, data session.Data) {
	d.entryAt(d.t.Heard(), by, kind, data)
}

func (d *Deck) entryAt(at timebase.Frame, by show.By, kind string, data session.Data) {
	d.log.put(d.made(at, by, kind, data))
}

// made is an entry of now.
func (d *Deck) made(at timebase.Frame, by show.By, kind string, data session.Data) session.Entry {
	return session.Entry{
		Wall: d.clock.timeOfDay(), Heard: int64(at), Show: int64(at + timebase.FrameAt(d.t.Asked(), d.plan.Rate)),
		State: d.t.State().String(), By: by, Kind: kind, Data: data,
	}
}

// tell logs an entry and returns it in words.
func (d *Deck) tell(by show.By, kind string, data session.Data) string {
	e := d.made(d.t.Heard(), by, kind, data)
	d.log.put(e)
	return e.Words(d.plan.Rate, d.plan.Length)
}
