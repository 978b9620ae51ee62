package instruct

import (
	"bufio"
	"errors"
	"fmt"
	"net"
	"time"
)

// A conn is one instructor's connection: a goroutine that reads requests and
// one that writes what is new.
type conn struct {
	*net.UnixConn
	s       *Server
	news    chan struct{}
	answers chan Message  // from the reader to the writer
	gone    chan struct{} // closed when nothing more will be read
	ended   chan struct{} // closed when nothing more will be written
}

// goodbye is what instructors are told when the run is over.
const goodbye = "the run has ended on the trainee's side"

// write sends the hello, and then what is new, until the instructor or the
// run is gone. Of states only the latest is sent, so that one who reads slowly
// is behind by no more than what is on the way.
func (c *conn) write() {
	defer c.s.wg.Done()
	defer c.s.leave(c)
	defer c.Close()
	defer close(c.ended)
	var (
		seen  int64
		state *[]byte
	)
	if !c.send(c.s.hello) || !c.sendNews(&seen, &state) {
		return
	}
	for {
		select {
		case <-c.gone:
			return
		case <-c.s.closing:
			if c.sendNews(&seen, &state) {
				c.send(line(Message{Bye: goodbye}))
			}
			return
		case m := <-c.answers:
			if !c.send(line(m)) {
				return
			}
		case <-c.news:
			if !c.sendNews(&seen, &state) {
				return
			}
		}
	}
}

// sendNews sends the events from *seen on, and the state unless it is *state.
func (c *conn) sendNews(seen *int64, state **[]byte) bool {
	events, next := c.s.cfg.Log.since(*seen)
	*seen = next
	for _, e := range events {
		if !c.send(e) {
			return false
		}
	}
	if latest := c.s.state.Load(); latest != *state {
		*state = latest
		return c.send(*latest)
	}
	return true
}

// send writes a line; false when the instructor does not take it.
func (c *conn) send(b []byte) bool {
	c.SetWriteDeadline(time.Now().Add(c.s.cfg.patience))
	_, err := c.Write(b)
	return err == nil
}

// read takes requests until the instructor hangs up or says what cannot be
// understood.
func (c *conn) read() {
	defer c.s.wg.Done()
	defer close(c.gone)
	lines := bufio.NewReaderSize(c, MaxLine)
	c.SetReadDeadline(time.Now().Add(greetWithin))
	b, err := lines.ReadSlice('\n')
	if err == nil {
		err = checkGreeting(b)
	}
	c.SetReadDeadline(time.Time{})
	for err == nil {
		if b, err = lines.ReadSlice('\n'); err != nil {
			break
		}
		if !c.answer(c.handle(b)) {
			return
		}
	}
	switch {
	case errors.Is(err, bufio.ErrBufferFull):
		c.answer(Message{Refused: fmt.Sprintf("found a line of more than %d bytes; wanted shorter ones", MaxLine)})
	case errors.Is(err, errGreeting):
		c.answer(Message{Refused: err.Error()})
	}
}

// answer has m sent and pauses before the next request; false when there is
// nobody to talk to any more.
func (c *conn) answer(m Message) bool {
	select {
	case c.answers <- m:
	case <-c.ended:
		return false
	}
	select {
	case <-c.ended:
		return false
	case <-time.After(requestGap):
		return true
	}
}

// handle does what one line asks for.
func (c *conn) handle(b []byte) Message {
	r, err := parseRequest(b)
	if err != nil {
		return Message{Refused: err.Error()}
	}
	step, err := r.step(c.s.cfg.Plan)
	if err != nil {
		return Message{Refused: err.Error()}
	}
	c.s.cfg.Act(step)
	return Message{Taken: r.Words()}
}

var errGreeting = errors.New("cannot talk")

// checkGreeting reads the instructor's first line.
func checkGreeting(b []byte) error {
	var g greeting
	if err := decode(b, &g); err != nil {
		return fmt.Errorf("%w: found a line that is none; wanted {\"drylane_instructor\":%d}", errGreeting, Version)
	}
	if g.Version != Version {
		return fmt.Errorf("%w: the instructor speaks version %d, the trainee's side %d; wanted the same drylane on both", errGreeting, g.Version, Version)
	}
	return nil
}
