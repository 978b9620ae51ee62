package crewpage

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"net/http"
	"time"

	"drylane/playback/crew"
	roles "drylane/show/crew"
)

// A session is a page that is there.
type session struct {
	sum   [sha256.Size]byte // of its secret
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

func (s *Server) enter(id string, n *session) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if old := s.list[id]; old != nil {
		close(old.moved)
	}
	s.list[id] = n
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
			tell(n.out.take())
			return
		case <-s.closing:
			tell(n.out.take())
			return
		case <-r.Context().Done():
			return
		}
	}
}
