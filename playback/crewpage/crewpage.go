// Package crewpage serves the page that telephones take part in a rehearsal with: one
// page, nothing else to load, over HTTPS with the rehearsal's own certificate.
//
// A page is a member like any other. What it says goes through a crew.Relay, so that the
// same door lets it in and the same server says what its role may do; it speaks what
// playback/crew describes, and knows the lead's clock by the same filter (clock.js).
//
//	GET /        the page. The code stands behind # in its address, which no browser
//	             sends to anybody, and no log has.
//	POST /join   Join, the code in it; the reply goes on for as long as the page is
//	             there: a line of JSON for each thing that the lead tells
//	POST /say    Words: what a member says, one at a time; an empty reply
//
// What keeps one page from another, and a page of somebody else's from all: the number
// and the secret that the page made for itself stand in each request, in no cookie and no
// address; requests of other origins are refused (http.CrossOriginProtection); the
// policy of the page lets nothing in but its own script.
//
// The run never waits for a page. A page that reads slowly is told the latest state and
// not those before it, and one that reads nothing for writeWithin is left. Sizes, counts
// and rates are bounded (limits.go).
package crewpage

import (
	"crypto/tls"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"strconv"
	"sync"
	"time"

	"drylane/playback/crew"
	"drylane/show"
)

// Config is what a Server works with.
type Config struct {
	Lead   *crew.Lead
	Title  string // of the show
	Listen string // HOST:PORT; port 0 for any that is free
	Else   bool   // any that is free, too, where that one is taken
	Plain  bool   // without TLS: whoever is on the network reads along
}

// A Server serves the page.
type Server struct {
	cfg  Config
	http http.Server
	door *doorway
	page []byte

	closing chan struct{}
	closed  sync.Once
	wg      sync.WaitGroup

	mu   sync.Mutex
	list map[string]*session // by the machine's number
}

// Open serves the page until the lead is closed. It says so to the lead.
func Open(cfg Config) (*Server, error) {
	s := &Server{cfg: cfg, closing: make(chan struct{}), list: map[string]*session{}}
	host, port, err := net.SplitHostPort(cfg.Listen)
	if n, e := strconv.Atoi(port); err != nil || e != nil || n < 0 || n > 65535 {
		return nil, fmt.Errorf("found %q to serve the page on; wanted HOST:PORT, :PORT for all of this machine's addresses, or off", show.Shorten(cfg.Listen, 60))
	}
	l, err := net.Listen("tcp", cfg.Listen)
	if err != nil && cfg.Else {
		l, err = net.Listen("tcp", net.JoinHostPort(host, "0"))
	}
	if err != nil {
		return nil, fmt.Errorf("%s: the page cannot be served there; wanted a port that is free: --crew-page :0 takes any, off serves none", cfg.Listen)
	}
	s.page = wholePage(cfg.Lead.Invitation().Fingerprint)
	s.door = newDoorway(l)
	s.http = http.Server{
		Handler: s.handler(), ErrorLog: log.New(io.Discard, "", 0), ConnContext: withLimit, MaxHeaderBytes: mostHeader,
		ReadHeaderTimeout: readWithin, ReadTimeout: readWithin, WriteTimeout: pageWithin, IdleTimeout: idleFor,
		TLSConfig: &tls.Config{MinVersion: tls.VersionTLS13, Certificates: []tls.Certificate{cfg.Lead.Certificate()}},
	}
	s.http.Protocols = new(http.Protocols)
	s.http.Protocols.SetHTTP1(true) // a page that hangs takes another connection, which it could not within one of HTTP/2
	scheme := "https"
	s.wg.Go(func() {
		if cfg.Plain {
			s.http.Serve(s.door)
		} else {
			s.http.ServeTLS(s.door, "", "")
		}
	})
	if cfg.Plain {
		scheme = "http"
	}
	cfg.Lead.Serves(scheme, l.Addr(), s.Close)
	return s, nil
}

// Close ends all that is served. A second call does nothing.
func (s *Server) Close() {
	s.closed.Do(func() {
		close(s.closing)
		s.waitForStreams()
		s.http.Close()
		s.wg.Wait()
	})
}

// waitForStreams waits until every page has been told that the run is over, or has had
// the time for it.
func (s *Server) waitForStreams() {
	for limit := time.Now().Add(leaveWithin); time.Now().Before(limit); time.Sleep(5 * time.Millisecond) {
		s.mu.Lock()
		n := len(s.list)
		s.mu.Unlock()
		if n == 0 {
			return
		}
	}
}
