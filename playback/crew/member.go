package crew

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"time"

	"drylane/show"
	"drylane/show/crew"
	"drylane/show/crewclock"
	"drylane/show/session"

	"github.com/nats-io/nats.go"
)

// A Join is what somebody joins with.
type Join struct {
	Address Address
	Via     Via // how a server that is somebody else's lets this machine in; its URL is the address's
	Code    string
	Name    string
	Role    crew.Role
	Place   string         // of a listener; empty: not told
	Habit   *session.Habit // how they tap; nil: not calibrated
	// Silent is called once when nothing has been heard of the lead for too long, and
	// Back when it is heard again: whatever sounds here stops at the first. Either may
	// be nil. They are called from a goroutine of the member's and must not wait.
	Silent, Back func()
}

// A Member is a member's end of the link. All of its methods return at once and are
// safe to call from any goroutine, but for Dial and Close.
type Member struct {
	join  Join
	id    string
	conn  *nats.Conn
	began time.Time

	seal   *seal            // over a server that is somebody else's; else nil
	public *[keyLength]byte // ... this machine's key

	out  chan packet   // what is to be sent
	hold chan Deed     // a HOLD, which has a place of its own
	news chan struct{} // for tests: something came

	closing chan struct{}
	closed  sync.Once
	wg      sync.WaitGroup

	mu    sync.Mutex
	watch func(Report) // nil: nobody is told
	calls int          // HOLDs so far
	view  View
	clk   *crewclock.Clock
	got   chan Welcome // the first one
}

// A packet is a message and where it goes.
type packet struct {
	what string // hello, clock or a deed
	v    any
}

// Dial joins. The error is for the person who wants to.
func Dial(ctx context.Context, j Join) (*Member, error) {
	if kind, ok := kindOf(j.Code); !ok {
		return nil, fmt.Errorf("--code: found %q; wanted one such as position-7M4Q-X2DK, as the lead's machine shows it", show.Shorten(j.Code, 30))
	} else if kind != j.Role.Kind {
		return nil, fmt.Errorf("--code: found one for %s; wanted one for %s", kind, j.Role.Kind)
	}
	m := &Member{join: j, id: newToken(), began: time.Now(), out: make(chan packet, 32), hold: make(chan Deed, 1),
		news: make(chan struct{}, 1), closing: make(chan struct{}), clk: crewclock.New(), got: make(chan Welcome, 1)}
	if err := m.connect(ctx); err != nil {
		return nil, err
	}
	m.wg.Add(3)
	go m.send()
	go m.callHolds()
	go m.look()
	if err := m.greet(ctx); err != nil {
		m.Close()
		return nil, err
	}
	return m, nil
}

// greet says who is here until the lead answers. Saying it twice changes nothing.
func (m *Member) greet(ctx context.Context) error {
	for range dialWithin / time.Second {
		m.put(hello, m.hello(m.join.Name))
		select {
		case w := <-m.got:
			if w.Refused != "" {
				return errors.New(w.Refused)
			}
			return nil
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(time.Second):
		}
	}
	return fmt.Errorf("%s: the lead does not answer", m.join.Address.Host)
}

// connect makes the connection, which comes back by itself whenever it is lost.
func (m *Member) connect(ctx context.Context) (err error) {
	if m.join.Address.Via() {
		return m.connectVia(ctx)
	}
	secret := newToken()
	m.conn, err = nats.Connect("tls://"+m.join.Address.Host, lasting(nats.Secure(pinned(m.join.Address.Print)), nats.TLSHandshakeFirst(),
		nats.UserInfo(m.id, strings.ToUpper(m.join.Code)+" "+secret), nats.IgnoreDiscoveredServers(),
		nats.ReconnectHandler(func(*nats.Conn) { m.put(hello, m.hello(m.name())) }))...)
	if err != nil {
		return joinError(m.join.Address.Host, err)
	}
	for _, subject := range heard(m.id, m.join.Role.Kind, crew.Sights()) {
		if err == nil {
			_, err = m.conn.Subscribe(subject, m.hear)
		}
	}
	if err == nil {
		err = m.conn.FlushTimeout(dialWithin)
	}
	if err != nil {
		m.conn.Close()
		return joinError(m.join.Address.Host, err)
	}
	return ctx.Err()
}

// lasting are the options of a connection that comes back by itself whenever the way is
// lost, and more.
func lasting(more ...nats.Option) []nats.Option {
	return append([]nats.Option{nats.Name("drylane"), nats.Timeout(dialWithin), nats.MaxReconnects(-1),
		nats.ReconnectWait(100 * time.Millisecond), nats.ReconnectJitter(50*time.Millisecond, 50*time.Millisecond),
		nats.ReconnectBufSize(-1), nats.IgnoreAuthErrorAbort(), nats.PingInterval(time.Second), nats.MaxPingsOutstanding(2),
		nats.ErrorHandler(func(*nats.Conn, *nats.Subscription, error) {})}, more...)
}

// joinError says for people why a machine could not join.
func joinError(host string, err error) error {
	switch {
	case strings.Contains(err.Error(), errStrangeLead.Error()):
		return fmt.Errorf("%s: %w", host, errStrangeLead)
	case errors.Is(err, nats.ErrAuthorization), errors.Is(err, nats.ErrAuthExpired):
		return fmt.Errorf("%s: %w", host, ErrNotLetIn)
	}
	return fmt.Errorf("%s: no rehearsal answers there: %s", host, show.Shorten(err.Error(), 80))
}

// hello says who is here, under that name.
func (m *Member) hello(name string) *Hello {
	return &Hello{Version, name, m.join.Role.String(), m.join.Place, m.join.Habit}
}

// name is the member's, as it was last taken.
func (m *Member) name() string {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.view.Welcome.Name != "" {
		return m.view.Welcome.Name
	}
	return m.join.Name
}

// put puts a message in line; false where too many wait.
func (m *Member) put(what string, v any) bool {
	select {
	case m.out <- packet{what, v}:
		return true
	default:
		return false
	}
}

// send sends what is in line, and asks for the lead's time.
func (m *Member) send() {
	defer m.wg.Done()
	asked := 0
	next := time.NewTimer(0)
	defer next.Stop()
	for {
		select {
		case <-m.closing:
			return
		case p := <-m.out:
			if p.what == clock {
				next.Reset(0)
			} else if err := m.publish(p.what, p.v); err != nil {
				m.refused(crew.Deed(p.what), "LINK LOST: not sent")
			}
		case <-next.C:
			asked++
			m.publish(clock, &Ask{Sent: m.now(), Hold: m.shows(), Bound: m.bound()})
			if wait := askSoon; asked < 8 {
				next.Reset(wait)
			} else {
				next.Reset(askEvery)
			}
		}
	}
}

func (m *Member) publish(what string, v any) error {
	if m.seal != nil {
		return m.publishVia(what, v)
	}
	return m.conn.Publish(fromMember+m.id+"."+what, pack(v))
}

// callHolds sends a HOLD again and again until it is answered: it may be called while
// the link is lost. A new one takes the place of one that is not answered yet.
func (m *Member) callHolds() {
	defer m.wg.Done()
	var d Deed
	var until time.Time // zero: nothing is called
	again := time.NewTicker(holdAgain)
	defer again.Stop()
	for {
		select {
		case <-m.closing:
			return
		case d = <-m.hold:
			until = time.Now().Add(holdFor)
			m.publish(string(crew.Hold), &d)
			again.Reset(holdAgain)
		case <-again.C:
			switch {
			case until.IsZero():
			case m.handedOn(d.Call) || time.Now().After(until):
				until = time.Time{}
			default:
				m.publish(string(crew.Hold), &d)
			}
		}
	}
}

// handedOn reports whether a HOLD has been handed on to the run.
func (m *Member) handedOn(call int) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.view.call >= call
}

// now is the member's own clock: since it was made, whatever is set at the computer.
func (m *Member) now() time.Duration { return time.Since(m.began) }

// Hold calls for a hold. It is sent until the lead has handed it on to the run.
func (m *Member) Hold(reason string) {
	d := m.stamped(Deed{Text: reason})
	m.did(crew.Hold, d)
	m.mu.Lock()
	m.calls++
	d.Call = m.calls
	m.view.Called = m.calls
	m.mu.Unlock()
	select {
	case m.hold <- d:
	default: // one is being called already
	}
}

// Do does a deed; the answer comes in the View.
func (m *Member) Do(what crew.Deed, d Deed) {
	switch {
	case what == crew.Hold:
		m.Hold(d.Text)
		return
	case !m.join.Role.Kind.May(what):
		m.refused(what, errMayNot.Error())
		return
	case what == crew.Acknowledge && d.Hold == 0:
		d.Hold = m.shows()
	}
	d = m.stamped(d)
	m.did(what, d)
	if !m.put(string(what), &d) {
		m.refused(what, "too much waits to be sent")
	}
}

// Watch has everything that is seen and done here reported from now on, from
// goroutines of the member's: report must return at once. It ends with Close.
func (m *Member) Watch(report func(Report)) {
	m.mu.Lock()
	m.watch = report
	m.mu.Unlock()
}

// tell reports to whoever watches.
func (m *Member) tell(r Report) {
	m.mu.Lock()
	report := m.watch
	m.mu.Unlock()
	if report != nil {
		report(r)
	}
}

// did reports a deed of the person here.
func (m *Member) did(what crew.Deed, d Deed) {
	text := string(what)
	for _, more := range []string{d.Cue, d.From, d.Do, d.Text} {
		if more != "" {
			text += " " + show.Shorten(more, maxText)
		}
	}
	m.tell(Report{d.At, d.Bound, "did", text})
}

// stamped is a deed of now.
func (m *Member) stamped(d Deed) Deed {
	own := m.now()
	m.mu.Lock()
	defer m.mu.Unlock()
	if r, ok := m.clk.At(own); ok {
		d.At, d.Bound = r.Lead(own), r.Bound
	}
	return d
}

// bound is how well the lead's clock is known; 0: not at all.
func (m *Member) bound() time.Duration {
	m.mu.Lock()
	defer m.mu.Unlock()
	r, _ := m.clk.At(m.now())
	return r.Bound
}

// shows is the hold that this machine shows; 0 for none.
func (m *Member) shows() int {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.view.State.Hold
}

// Close leaves. A second call does nothing.
func (m *Member) Close() {
	m.closed.Do(func() {
		m.publish(string(crew.Leave), &Deed{})
		m.conn.FlushTimeout(200 * time.Millisecond)
		close(m.closing)
		m.conn.Close()
		m.wg.Wait()
	})
}
