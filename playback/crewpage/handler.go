package crewpage

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strings"

	"drylane/playback/crew"
	"drylane/show"
	roles "drylane/show/crew"
)

// A Join is what a page comes in with, or comes back.
type Join struct {
	Page   int    `json:"drylane_page"` // crew.Version
	ID     string `json:"id"`           // the number that the page made for itself
	Secret string `json:"secret"`       // ... and by what it comes back
	Code   string `json:"code"`
}

// Words are what a page says as a member.
type Words struct {
	ID     string          `json:"id"`
	Secret string          `json:"secret"`
	What   string          `json:"what"` // hello, clock or a deed
	Data   json.RawMessage `json:"data"`
}

// handler is all that is served.
func (s *Server) handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", s.serve)
	mux.HandleFunc("POST /join", s.join)
	mux.HandleFunc("POST /say", s.say)
	own := http.NewCrossOriginProtection()
	own.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		refuse(w, http.StatusForbidden, "another page asks; wanted the one that the lead serves")
	}))
	return s.door.limited(own.Handler(mux))
}

// serve serves the page.
func (s *Server) serve(w http.ResponseWriter, _ *http.Request) {
	h := w.Header()
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Content-Security-Policy", policy)
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("X-Frame-Options", "DENY")
	common(h)
	w.Write(s.page)
}

// common sets what every reply has.
func common(h http.Header) {
	h.Set("Cache-Control", "no-store")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("X-Content-Type-Options", "nosniff")
}

// refuse says why not, for the person at the page.
func refuse(w http.ResponseWriter, status int, why string) {
	w.Header().Set("Content-Type", "application/json")
	common(w.Header())
	w.WriteHeader(status)
	json.NewEncoder(w).Encode(map[string]string{"refused": why})
}

// read reads the body of a request, all of it.
func read(w http.ResponseWriter, r *http.Request, v any) error {
	if kind, _, _ := strings.Cut(r.Header.Get("Content-Type"), ";"); kind != "application/json" {
		return fmt.Errorf("found %q; wanted application/json", show.Shorten(kind, 40))
	}
	data, err := io.ReadAll(http.MaxBytesReader(w, r.Body, mostWords))
	if err != nil {
		return fmt.Errorf("found a request that ends too soon, or of more than %d bytes", mostWords)
	}
	return parse(data, v)
}

// parse reads one piece of JSON, and nothing behind it.
func parse(data []byte, v any) error {
	d := json.NewDecoder(bytes.NewReader(data))
	if err := d.Decode(v); err != nil {
		return errors.New("found a request that does not read: " + show.Shorten(err.Error(), 80))
	}
	if _, err := d.Token(); err != io.EOF {
		return errors.New("found something behind a request")
	}
	return nil
}

// errTrainer is the error of a code for a trainer.
var errTrainer = errors.New("found a code for a trainer, who needs more room than a telephone has; wanted drylane join on another machine")

// whole says what is wrong with a Join; nil when nothing is.
func (j *Join) whole() error {
	kind, _, _ := strings.Cut(j.Code, "-")
	switch {
	case j.Page != crew.Version:
		return fmt.Errorf("found version %d of the page; wanted %d: load the page anew", j.Page, crew.Version)
	case strings.EqualFold(kind, string(roles.Trainer)):
		return errTrainer
	}
	return nil
}

// join lets a page in and tells it what the lead tells, until either leaves.
func (s *Server) join(w http.ResponseWriter, r *http.Request) {
	var j Join
	err := read(w, r, &j)
	if err == nil {
		err = j.whole()
	}
	if err != nil {
		refuse(w, http.StatusBadRequest, err.Error())
		return
	}
	s.move(j)
	out := newOutbox()
	relay, err := s.cfg.Lead.Relay(hostOf(r.RemoteAddr), j.ID, j.Code, j.Secret, out.put)
	if err != nil {
		refuse(w, http.StatusForbidden, err.Error())
		return
	}
	defer relay.Close()
	n := &session{sum: sha256.Sum256([]byte(j.Secret)), from: hostOf(r.RemoteAddr), relay: relay, out: out, moved: make(chan struct{})}
	if err := s.enter(j.ID, n); err != nil {
		refuse(w, http.StatusConflict, err.Error())
		return
	}
	defer s.leave(j.ID, n)
	s.stream(w, r, n)
}

// say hands on what a page says.
func (s *Server) say(w http.ResponseWriter, r *http.Request) {
	var words Words
	if err := read(w, r, &words); err != nil {
		refuse(w, http.StatusBadRequest, err.Error())
		return
	}
	s.mu.Lock()
	n := s.list[words.ID]
	s.mu.Unlock()
	if n == nil || !n.is(words.Secret) {
		refuse(w, http.StatusConflict, "nobody has joined from there")
		return
	}
	if err := n.relay.Say(words.What, words.Data); err != nil {
		refuse(w, http.StatusForbidden, err.Error())
		return
	}
	common(w.Header())
	w.WriteHeader(http.StatusNoContent)
}
