package instruct

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"
)

// A Server lets instructors in on one run.
type Server struct {
	cfg   Config
	path  string
	hello []byte
	ln    *net.UnixListener
	state atomic.Pointer[[]byte] // the latest, as a line

	mu      sync.Mutex
	conns   map[*conn]bool
	closing chan struct{}
	closed  sync.Once
	wg      sync.WaitGroup
}

// Serve makes the socket and serves it until ctx ends or Close is called. The
// error is for the person who runs the drill, which can go on without.
func Serve(ctx context.Context, cfg Config) (*Server, error) {
	cfg.fill()
	s := &Server{cfg: cfg, path: cfg.Path, conns: map[*conn]bool{}, closing: make(chan struct{})}
	if s.path == "" {
		dir, err := Folder()
		if err != nil {
			return nil, err
		}
		sweep(dir)
		s.path = filepath.Join(dir, fmt.Sprintf("%d%s", os.Getpid(), suffix))
	} else if err := checkFolder(filepath.Dir(s.path)); err != nil {
		return nil, err
	}
	s.hello = s.cfg.greet()
	var err error
	if s.ln, err = listen(s.path); err != nil {
		return nil, err
	}
	cfg.Log.notify(s.wake)
	s.wg.Add(2)
	go s.accept()
	go s.tell()
	go func() {
		select {
		case <-ctx.Done():
			s.Close()
		case <-s.closing:
		}
	}()
	return s, nil
}

// Path returns where the socket is.
func (s *Server) Path() string { return s.path }

// Close says goodbye to the instructors and takes the socket away. It waits a
// moment for those that read, and for nobody longer than that. A second call
// does nothing but wait for the first.
func (s *Server) Close() {
	s.closed.Do(func() {
		s.cfg.Log.notify(nil)
		close(s.closing)
		s.ln.Close()
		quiet := make(chan struct{})
		go func() {
			s.wg.Wait()
			close(quiet)
		}()
		for range 2 {
			select {
			case <-quiet:
				return
			case <-time.After(lastWords):
				s.hangUp()
			}
		}
	})
}

// hangUp ends the connections that are left.
func (s *Server) hangUp() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for c := range s.conns {
		c.Close()
	}
}

// tell makes the state anew, as long as anybody wants to know.
func (s *Server) tell() {
	defer s.wg.Done()
	tick := time.NewTicker(stateEvery)
	defer tick.Stop()
	w := &teller{cfg: &s.cfg}
	for {
		select {
		case <-s.closing:
			return
		case <-tick.C:
		}
		if s.instructors() > 0 {
			b := line(Message{State: w.state()})
			s.state.Store(&b)
			s.wake()
		}
	}
}

func (s *Server) instructors() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.conns)
}

// wake tells the connections that there is something new. It never blocks.
func (s *Server) wake() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for c := range s.conns {
		select {
		case c.news <- struct{}{}:
		default:
		}
	}
}

// accept lets instructors in until the server is closed.
func (s *Server) accept() {
	defer s.wg.Done()
	for {
		c, err := s.ln.AcceptUnix()
		switch {
		case err == nil:
			s.admit(c)
		case errors.Is(err, net.ErrClosed):
			return
		default: // no more files, say: that may pass
			select {
			case <-s.closing:
				return
			case <-time.After(stateEvery):
			}
		}
	}
}

// admit begins a conversation, or says in a line why there is none.
func (s *Server) admit(u *net.UnixConn) {
	why := ""
	if err := s.cfg.own(u); err != nil {
		why = err.Error()
	} else if s.instructors() >= MaxInstructors {
		why = fmt.Sprintf("%d instructors are connected already", MaxInstructors)
	}
	if why != "" {
		u.SetDeadline(time.Now().Add(lastWords))
		u.Write(line(Message{Refused: why}))
		u.Close()
		return
	}
	c := &conn{UnixConn: u, s: s, news: make(chan struct{}, 1), answers: make(chan Message),
		gone: make(chan struct{}), ended: make(chan struct{})}
	s.mu.Lock()
	s.conns[c] = true
	s.mu.Unlock()
	s.wg.Add(2)
	go c.read()
	go c.write()
}

// leave forgets a connection.
func (s *Server) leave(c *conn) {
	s.mu.Lock()
	delete(s.conns, c)
	s.mu.Unlock()
	if s.cfg.left != nil {
		s.cfg.left()
	}
}
