package crew

import (
	"sync"
	"sync/atomic"
	"time"

	"drylane/show"
	"drylane/show/crew"
	"drylane/show/drift"
	"drylane/show/drill"
	"drylane/show/session"
)

// Training is what trainers are told from besides.
type Training struct {
	Drill string // its title; empty for a plain rehearsal
	// Exercise is the drill as it was drawn; nil for a plain rehearsal.
	Exercise *drill.Exercise
	// Score says how the trainee does so far, in words; nil: nobody knows. It is asked
	// now and then, from a goroutine of its own, and may wait for the disk.
	Score func() string
	// Positions are the show's, in the order to tell them in.
	Positions []show.Position
	Tapper    drift.Config // how the trainee taps
}

// Trainers are those who are there, and who of them has just come.
type trainers struct {
	there atomic.Int64

	mu   sync.Mutex
	news map[string]bool      // machines that are to be told everything from the start
	told map[string]time.Time // when each was
}

// came has a machine told everything from the start.
func (t *trainers) came(id string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.news == nil {
		t.news, t.told = map[string]bool{}, map[string]time.Time{}
	}
	t.news[id] = true
}

// due returns the machines whose turn it is to be told everything. One that comes again
// and again has to wait.
func (t *trainers) due(now time.Time) (ids []string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	for id := range t.news {
		if now.Sub(t.told[id]) >= anewGap {
			delete(t.news, id)
			t.told[id] = now
			ids = append(ids, id)
		}
	}
	return ids
}

// teach tells trainers what others are not to know. Its goroutine alone reads the score,
// for which the disk is waited for.
func (l *Lead) teach() {
	t := time.NewTicker(teachEvery)
	defer t.Stop()
	w := &watcher{cfg: &l.cfg}
	for {
		select {
		case <-l.closing:
			return
		case <-t.C:
		}
		for _, id := range l.trainers.due(time.Now()) {
			l.tellAll(id)
		}
		if l.trainers.there.Load() > 0 {
			l.send(toAll+string(crew.SeesDrill), &Drill{Now: w.look(l.cfg.Run.Snapshot(), time.Now())})
		}
	}
}

// tellAll tells a trainer what the drill has in store and what has happened.
func (l *Lead) tellAll(id string) {
	p := l.cfg.planned()
	for _, page := range p.pages() {
		l.send(toMember+id+"."+string(crew.SeesDrill), &Drill{Page: &page})
	}
	for _, e := range l.cfg.Gate.history() {
		l.send(toMember+id+"."+string(crew.SeesEvents), &Event{e})
	}
}

// tellEvents tells what went into the log.
func (l *Lead) tellEvents() {
	for _, e := range l.cfg.Gate.take() {
		shown, ok := forAll(e)
		if !ok || shown.Kind == session.KindDrill {
			l.send(toAll+string(crew.SeesDrill), &Drill{Event: &e})
		}
		if ok {
			l.send(toAll+string(crew.SeesEvents), &Event{shown})
		}
	}
}

// forAll is an entry of the log as others than trainers are told it; ok is false where
// they are not. Of the steps of a drill they hear what is said on the radio, and no more.
func forAll(e session.Entry) (shown session.Entry, ok bool) {
	switch e.Kind {
	case session.KindUnderrun:
		return e, false
	case session.KindDrill:
		d := e.Data
		e.By, e.Data = "", session.Data{Do: string(drill.Radio), From: d.From, Text: d.Text}
		return e, drill.Deed(d.Do).TakesWords()
	}
	return e, true
}
