package crew

import (
	"errors"
	"strings"

	"drylane/show/crew"

	"github.com/nats-io/nats.go"
)

// A Relay is the link of a machine that speaks no NATS, such as a telephone with a
// page: it carries the messages of one member between that and the server, unread. To
// the lead it is a machine like any other: the same door lets it in, the server lets
// through what its role may say and hear, and who sends too much is sent away.
type Relay struct {
	id   string
	kind crew.Kind
	conn *nats.Conn
	gone chan struct{}
}

// ErrNotLetIn is the error of a code that lets nobody in.
var ErrNotLetIn = errors.New("the code is not one of this rehearsal's, or was used, or there were too many wrong ones: wait a minute and take the code anew from the lead's screen")

// errNoRoom is the error of a server that takes nobody more.
var errNoRoom = errors.New("the lead takes nobody more just now")

// Relay lets in the machine with that number, which comes from an address of the
// network and has a code, and a secret of its own by which it comes back. hear is told
// what the lead says to it, by the last word of the subject, from goroutines of the
// relay's, and must return at once.
func (l *Lead) Relay(from, id, code, secret string, hear func(what string, data []byte)) (*Relay, error) {
	if !isToken(id) || !isToken(secret) {
		return nil, errors.New("found a page's number of another form; wanted the page as the lead serves it: load it anew")
	}
	word := strings.ToUpper(code) + " " + secret
	kind, ok := l.door.admit(id, word, from, 0) // before the connection, which could not say where the machine is
	if !ok {
		return nil, ErrNotLetIn
	}
	r := &Relay{id: id, kind: kind, gone: make(chan struct{})}
	var err error
	r.conn, err = nats.Connect("", nats.InProcessServer(l.server), nats.UserInfo(id, word), nats.Name("page"), nats.NoReconnect(),
		nats.ErrorHandler(func(*nats.Conn, *nats.Subscription, error) {}), nats.ClosedHandler(func(*nats.Conn) { close(r.gone) }))
	if err != nil {
		return nil, errNoRoom
	}
	for _, s := range heard(id, kind, []crew.Sight{crew.SeesState, crew.SeesCrew, crew.SeesAll}) { // all that a page shows
		if _, err = r.conn.Subscribe(s, func(m *nats.Msg) { hear(string(deedOf(m)), m.Data) }); err != nil {
			r.conn.Close()
			return nil, errNoRoom
		}
	}
	return r, nil
}

// Kind is the kind of role that it was let in as.
func (r *Relay) Kind() crew.Kind { return r.kind }

// Says reports whether a member can say that at all: a hello, a request of its clock,
// or a deed.
func (r *Relay) Says(what string) bool {
	return what == hello || what == clock || r.kind.May(crew.Deed(what))
}

// Say hands on what the machine says.
func (r *Relay) Say(what string, data []byte) error {
	if !r.Says(what) {
		return errMayNot
	}
	return r.conn.Publish(fromMember+r.id+"."+what, data)
}

// Gone is closed when the link has ended: the machine was sent away or has come in anew,
// or the lead has left.
func (r *Relay) Gone() <-chan struct{} { return r.gone }

// Close ends the link. The member is not heard of from then on, and so is lost.
func (r *Relay) Close() { r.conn.Close() }
