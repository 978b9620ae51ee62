package crewpage

import (
	"bytes"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"time"

	"drylane/playback/crew"
	roles "drylane/show/crew"
)

// A session is a page that is there.
type session struct {
	sum   [sha256.Size]byte // of its secret
	from  string            // address
	relay *crew.Relay
	out   *outbox
	moved chan struct{} // closed when the same member comes in with another page
}

// You is the first thing that a page is told.
type You struct {
	Kind      roles.Kind `json:"kind"` // what the code is for
	Title     string     `json:"title"`
	Positions []string   `json:"positions,omitempty"` // to choose from
}

// move has a page of the same member, if there is one, told that another takes its place.
func (s *Server) move(j Join) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if old := s.list[j.ID]; old != nil && old.is(j.Secret) {
		close(old.moved)
		delete(s.list, j.ID)
	}
}

// is reports whether a page is the one with that secret.
func (n *session) is(secret string) bool {
	sum := sha256.Sum256([]byte(secret))
	return subtle.ConstantTimeCompare(sum[:], n.sum[:]) == 1
}

// enter notes that a page is there, or says why it cannot be.
func (s *Server) enter(id string, n *session) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	from := 0
	for _, other := range s.list {
		if other.from == n.from {
			from++
		}
	}
	switch {
	case s.list[id] != nil: // it came at the same moment
		return errors.New("this member's page is open somewhere else")
	case len(s.list) >= mostPages || from >= mostPagesFrom:
		return fmt.Errorf("%d pages are there already; wanted one to leave", max(from, len(s.list)))
	}
	s.list[id] = n
	return nil
}

func (s *Server) leave(id string, n *session) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.list[id] == n {
		delete(s.list, id)
	}
}

// first is what a page is told first, behind enough white space that no browser keeps it
// back.
func (s *Server) first(n *session) []byte {
	you := You{Kind: n.relay.Kind(), Title: s.cfg.Title}
	if you.Kind == roles.Position {
		you.Positions = s.cfg.Lead.Positions()
	}
	data, _ := json.Marshal(you)
	return append(bytes.Repeat([]byte{' '}, 1024), lineOf("you", data)...)
}

// stream tells a page what there is to tell. Each write has its time, after which the
// page is left.
func (s *Server) stream(w http.ResponseWriter, r *http.Request, n *session) {
	c := http.NewResponseController(w)
	c.SetReadDeadline(time.Time{})
	w.Header().Set("Content-Type", "application/x-ndjson")
	common(w.Header())
	tell := func(data []byte) bool {
		c.SetWriteDeadline(time.Now().Add(writeWithin))
		defer c.SetWriteDeadline(time.Time{}) // between writes no time runs
		_, err := w.Write(data)
		return err == nil && c.Flush() == nil
	}
	if !tell(s.first(n)) {
		return
	}
	for {
		select {
		case <-n.out.wake:
			if !tell(n.out.take()) {
				return
			}
		case <-n.moved:
			tell(lineOf("moved", []byte("true")))
			return
		case <-n.relay.Gone():
			tell(n.last())
			return
		case <-s.closing:
			tell(n.last())
			return
		case <-r.Context().Done():
			return
		}
	}
}

// last is what a page is told when its link ends: that another has taken its place, or
// what still waits.
func (n *session) last() []byte {
	select {
	case <-n.moved:
		return lineOf("moved", []byte("true"))
	default:
		return n.out.take()
	}
}
