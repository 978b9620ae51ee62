package deck

import (
	"sync"

	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
)

// A logLoop writes entries in a goroutine of its own, so that a slow disk
// never holds up the music.
type logLoop struct {
	w       *session.Writer
	onEntry func(session.Entry)
	mu      sync.Mutex
	cond    *sync.Cond
	queue   []session.Entry
	writing bool
	closing bool
	logged  int64 // the last entry on disk
	err     error // why the last write failed; nil when it did not
	done    chan struct{}
}

func startLog(w *session.Writer, onEntry func(session.Entry)) *logLoop {
	l := &logLoop{w: w, onEntry: onEntry, done: make(chan struct{})}
	l.cond = sync.NewCond(&l.mu)
	go l.loop()
	return l
}

func (l *logLoop) put(e session.Entry) {
	l.mu.Lock()
	l.queue = append(l.queue, e)
	l.mu.Unlock()
	l.cond.Broadcast()
}

func (l *logLoop) loop() {
	defer close(l.done)
	var untold []session.Entry // refused by the disk so far: it takes them with the next
	for {
		l.mu.Lock()
		for len(l.queue) == 0 && !l.closing {
			l.cond.Wait()
		}
		batch := l.queue
		l.queue, l.writing = nil, true
		closing := l.closing && len(batch) == 0
		l.mu.Unlock()
		if closing {
			return
		}
		last, err := l.w.Append(batch...)
		untold = append(untold, batch...)
		if err == nil {
			l.tell(untold, last)
			untold = nil
		}
		l.mu.Lock()
		l.err, l.writing = err, false
		if err == nil {
			l.logged = last
		}
		l.mu.Unlock()
		l.cond.Broadcast()
	}
}

// tell tells of entries that are on disk now; last is the number of the last one.
func (l *logLoop) tell(entries []session.Entry, last int64) {
	if l.onEntry == nil {
		return
	}
	for i, e := range entries {
		e.N = last - int64(len(entries)-1-i)
		l.onEntry(e)
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

// status returns the number of the last entry on disk and why a later one
// could not be written.
func (l *logLoop) status() (logged int64, err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.logged, l.err
}

// close writes what is queued and ends the loop.
func (l *logLoop) close() error {
	l.mu.Lock()
	l.closing = true
	l.mu.Unlock()
	l.cond.Broadcast()
	<-l.done
	return l.err
}

func (d *Deck) logEvent(e show.Event) {
	if entry, ok := session.FromEvent(e, d.t, d.cfg.LogCues); ok {
		entry.Wall = d.clock.Now()
		d.log.put(entry)
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
		Wall: d.clock.Now(), Heard: int64(at), Show: int64(at + timebase.FrameAt(d.t.Asked(), d.plan.Rate)),
		State: d.t.State().String(), By: by, Kind: kind, Data: data,
	}
}

// tell logs an entry and returns it in words.
func (d *Deck) tell(by show.By, kind string, data session.Data) string {
	e := d.made(d.t.Heard(), by, kind, data)
	d.log.put(e)
	return e.Words(d.plan.Rate, d.plan.Length)
}
