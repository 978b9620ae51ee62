package instruct

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"os"
	"sync"
	"time"

	"drylane/show/session"
)

// A Client is an instructor's end. It reads by itself; View tells what it knows.
type Client struct {
	Hello Hello // what it was told first

	c       *net.UnixConn
	lines   *bufio.Reader
	writing sync.Mutex

	mu      sync.Mutex
	view    View
	changed chan struct{} // for tests: something new is in the view
	done    chan struct{}
}

// A View is what an instructor knows of a run. It is never changed once
// returned.
type View struct {
	State    State
	At       time.Time       // when State came; zero before the first
	Events   []session.Entry // the latest last
	Answer   string          // to the latest request
	Refused  bool            // ... which was refused
	Answered int             // requests answered so far
	Ended    string          // why nothing more comes; empty while the run goes on
}

// Dial connects to the run whose socket is at path and greets it.
func Dial(ctx context.Context, path string) (*Client, error) {
	ctx, cancel := context.WithTimeout(ctx, greetWithin)
	defer cancel()
	var d net.Dialer
	conn, err := d.DialContext(ctx, "unix", path)
	switch {
	case errors.Is(err, os.ErrNotExist), refused(err):
		return nil, fmt.Errorf("%s: no run listens there", path)
	case err != nil:
		return nil, fmt.Errorf("%s: cannot connect: %w", path, err)
	}
	c := &Client{c: conn.(*net.UnixConn), lines: bufio.NewReaderSize(conn, MaxLine),
		changed: make(chan struct{}, 1), done: make(chan struct{})}
	if err := c.greet(); err != nil {
		conn.Close()
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	go c.read()
	return c, nil
}

// greet takes the server's hello and answers it.
func (c *Client) greet() error {
	if err := ownPeer(c.c); err != nil {
		return err
	}
	c.c.SetDeadline(time.Now().Add(greetWithin))
	m, err := c.next()
	switch {
	case err != nil:
		return fmt.Errorf("no run answers there: %w", err)
	case m.Refused != "":
		return errors.New(m.Refused)
	case m.Hello == nil:
		return errors.New("what answers there is no run of drylane")
	case m.Hello.Version != Version:
		return fmt.Errorf("the run speaks version %d, the instructor %d; wanted the same drylane on both sides", m.Hello.Version, Version)
	}
	c.Hello = *m.Hello
	err = c.send(greeting{Version})
	c.c.SetReadDeadline(time.Time{})
	return err
}

// next reads a message.
func (c *Client) next() (m Message, err error) {
	b, err := c.lines.ReadSlice('\n')
	if errors.Is(err, bufio.ErrBufferFull) {
		err = fmt.Errorf("found a line of more than %d bytes", MaxLine)
	}
	if err != nil {
		return m, err
	}
	return parseMessage(b)
}

// parseMessage reads one line; its texts are fit for a terminal.
func parseMessage(b []byte) (m Message, err error) {
	if err := json.Unmarshal(b, &m); err != nil {
		return Message{}, errors.New("found a line that does not read")
	}
	m.clean()
	return m, nil
}

// read takes what comes until nothing more does.
func (c *Client) read() {
	defer close(c.done)
	for {
		m, err := c.next()
		if err != nil {
			m = Message{Bye: "the connection broke off: the trainee's side is gone"}
		}
		c.mu.Lock()
		c.view.take(m)
		c.mu.Unlock()
		select {
		case c.changed <- struct{}{}:
		default:
		}
		if m.Bye != "" {
			return
		}
	}
}

// take lets v know of m.
func (v *View) take(m Message) {
	switch {
	case m.State != nil:
		v.State, v.At = *m.State, time.Now()
	case m.Event != nil:
		v.Events = append(v.Events, *m.Event)
		v.Events = v.Events[max(0, len(v.Events)-maxKept):]
	case m.Taken != "":
		v.Answer, v.Refused = m.Taken, false
		v.Answered++
	case m.Refused != "":
		v.Answer, v.Refused = m.Refused, true
		v.Answered++
	case m.Bye != "":
		v.Ended = m.Bye
	}
}

// View returns what is known now. Safe to call from any goroutine.
func (c *Client) View() View {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.view
}

// Ask sends a request; the answer comes in the View. It may wait a moment.
// Safe to call from any goroutine.
func (c *Client) Ask(r Request) error {
	if err := c.send(r); err != nil {
		return fmt.Errorf("the trainee's side does not take it: %w", err)
	}
	return nil
}

func (c *Client) send(v any) error {
	b, err := json.Marshal(v)
	if err != nil {
		return err
	}
	c.writing.Lock()
	defer c.writing.Unlock()
	c.c.SetWriteDeadline(time.Now().Add(patience))
	_, err = c.c.Write(append(b, '\n'))
	return err
}

// Close hangs up. The run goes on.
func (c *Client) Close() {
	c.c.Close()
	<-c.done
}
