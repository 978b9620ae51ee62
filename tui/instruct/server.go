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

	"drylane/show"
	"drylane/show/drift"
	"drylane/show/drill"
	"drylane/tui/deck"
)

// Config is what a Server works with.
type Config struct {
	// Path is where the socket is made. Its folder must be one that nobody but
	// the user can enter. Empty: named by process id, in Folder.
	Path string

	Program string // name and version
	Show    string // its title
	Drill   string // its title; empty for a plain rehearsal

	Plan   *show.Plan
	Cues   []show.Cue   // the list the plan was made from
	Tapper drift.Config // how the trainee taps

	// Snapshot returns how the run stands; a deck's is one.
	Snapshot func() *deck.Snapshot
	// Act is given what an instructor asks for, checked and cleaned, with no name.
	// It is called from the instructor's own goroutine and must return at once.
	Act func(drill.Step)
	// Log is the run's; its Add must be given the entries as they come. It serves
	// one server at a time.
	Log *Log

	Now func() time.Time // nil: time.Now

	// For tests: who may connect, how patient the server is with a stuck
	// instructor, and what is called when one has gone.
	own      func(*net.UnixConn) error
	patience time.Duration
	left     func()
}

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
	s.hello = s.greet()
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

// fill sets what was left out.
func (c *Config) fill() {
	if c.Now == nil {
		c.Now = time.Now
	}
	if c.Log == nil {
		c.Log = new(Log)
	}
	if c.own == nil {
		c.own = ownPeer
	}
	if c.patience == 0 {
		c.patience = patience
	}
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

// greet makes the line that begins every conversation.
func (s *Server) greet() []byte {
	h := Hello{Version: Version, Program: s.cfg.Program, PID: os.Getpid(), Show: s.cfg.Show, Drill: s.cfg.Drill,
		Rate: s.cfg.Plan.Rate, Length: s.cfg.Plan.Length.At(s.cfg.Plan.Rate), Cues: len(s.cfg.Plan.Cues)}
	for _, g := range s.cfg.Plan.Groups {
		if g.By == show.LanesByPosition && len(g.Name) <= maxName {
			h.Positions = append(h.Positions, g.Name)
		}
	}
	return line(Message{Hello: &h})
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
