package crew

import (
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"drylane/show/crew"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nats.go"
)

// A bridge carries members over a server that is somebody else's. Each of them has a
// connection to the lead's own server, which then is within this process and listens
// nowhere: its door, its permissions by subject and its limits hold for them as for
// anybody. The bridge only opens what members have sealed, and seals what they hear.
type bridge struct {
	via   Via
	own   *server.Server
	door  *door // of that one
	conn  *nats.Conn
	keys  keyPair
	print string

	began  time.Time
	hellos floods // of all machines together, as is the next
	asked  floods

	mu     sync.Mutex          // of what follows
	guests map[string]*bridged // by number
	closed bool
}

// A bridged is a machine that has shown a key.
type bridged struct {
	id     string
	seal   *seal
	secret string // for the lead's own server

	telling sync.Mutex // a message goes out with its number before the next has one

	mu    sync.Mutex // of what follows
	conn  *nats.Conn // nil while it is not let in
	subs  []*nats.Subscription
	told  *atomic.Int64 // messages of these that were handed on
	kind  crew.Kind
	tried time.Time
}

// What strangers can have this machine reckon, in a second.
const (
	mostHellos = 20
	mostAsked  = 100
	reopened   = time.Second // between two tries to let a machine in again
)

// openBridge connects to the server.
func openBridge(v Via, own *server.Server, d *door) (*bridge, error) {
	keys, err := newKeys()
	if err != nil {
		return nil, err
	}
	b := &bridge{began: time.Now(), via: v, own: own, door: d, keys: keys, print: fingerprint(keys.public[:]), guests: map[string]*bridged{}}
	if b.conn, err = v.connect(); err != nil {
		return nil, err
	}
	hear := func(what string, do func(id, what string, data []byte)) {
		if err != nil {
			return
		}
		var sub *nats.Subscription
		sub, err = b.conn.Subscribe(viaSubject(b.print, "from", "*", what), func(m *nats.Msg) {
			parts := strings.Split(m.Subject, ".")
			if id := parts[len(parts)-2]; isToken(id) {
				do(id, parts[len(parts)-1], m.Data)
			}
		})
		if err == nil { // more is dropped: strangers can send without end
			err = sub.SetPendingLimits(16*queued, 8<<20)
		}
	}
	hear(askKeys, b.tellKeys)
	hear(hello, b.hello)
	hear(string(crew.Hold), b.carry) // which nothing else can fill
	hear("*", func(id, what string, data []byte) {
		if d := crew.Deed(what); d == clock || d != crew.Hold && slices.Contains(crew.Deeds(), d) {
			b.carry(id, what, data)
		}
	})
	if err == nil {
		err = b.conn.FlushTimeout(dialWithin)
	}
	if err != nil {
		b.close()
		return nil, err
	}
	return b, nil
}

// tellKeys tells a machine the lead's public key, which it checks against the
// fingerprint.
func (b *bridge) tellKeys(id, _ string, _ []byte) {
	if b.asked.count("", time.Since(b.began)) <= mostAsked {
		b.conn.Publish(viaSubject(b.print, "to", id, askKeys), b.keys.public[:])
	}
}

// hello lets a machine in that has the code: its public key, and sealed with it a Knock.
func (b *bridge) hello(id, _ string, data []byte) {
	if len(data) < keyLength {
		return
	}
	g := b.guest(id)
	if g == nil {
		public := (*[keyLength]byte)(data)
		if number(public) != id || b.hellos.count("", time.Since(b.began)) > mostHellos {
			return
		}
		g = &bridged{id: id, seal: newSeal(b.keys, public), secret: newToken()}
	}
	plain, ok := g.seal.open(toLead, hello, data[keyLength:])
	var k Knock
	if ok && parse(plain, &k) == nil {
		b.letIn(g, k)
	}
}

// guest is a machine that has shown its key before; nil for none.
func (b *bridge) guest(id string) *bridged {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.guests[id]
}

// know remembers a machine that was let in, so that nothing it has sent can be sent
// again; false where there are too many.
func (b *bridge) know(g *bridged) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.closed || b.guests[g.id] == nil && len(b.guests) >= mostGuests {
		return false
	}
	b.guests[g.id] = g
	return true
}

// letIn knocks at the lead's own server for a machine and hands its hello on.
func (b *bridge) letIn(g *bridged, k Knock) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.conn != nil && !kindIs(k.Code, g.kind) { // it changes its role
		g.conn.Close()
		g.conn = nil
	}
	if g.conn == nil && !b.connect(g, k.Code) || !b.know(g) {
		b.send(g, welcome, pack(&Welcome{Version: Version, Refused: ErrNotLetIn.Error()}))
		return
	}
	g.conn.Publish(fromMember+g.id+"."+hello, pack(&k.Hello))
}

// connect makes a machine's connection to the lead's own server; g is locked. The door
// is asked beforehand: the server takes seconds to refuse somebody.
func (b *bridge) connect(g *bridged, code string) bool {
	g.tried = time.Now()
	name, word := "machine "+g.id[:4], strings.ToUpper(code)+" "+g.secret
	kind, ok := b.door.admit(g.id, word, name, 0)
	if !ok {
		return false
	}
	g.kind = kind
	c, err := nats.Connect("", nats.InProcessServer(b.own), nats.UserInfo(g.id, word), nats.Name(name), nats.NoReconnect(), nats.Timeout(dialWithin),
		nats.ErrorHandler(func(*nats.Conn, *nats.Subscription, error) {}),
		nats.ClosedHandler(func(c *nats.Conn) { g.lost(c) }))
	if err != nil {
		return false
	}
	g.conn, g.subs, g.told = c, nil, new(atomic.Int64)
	for _, subject := range heard(g.id, g.kind, crew.Sights()) {
		b.hears(g, subject)
	}
	return true
}

// hears has a machine told what comes on a subject. Where the server in between does not
// take it, it is dropped.
func (b *bridge) hears(g *bridged, subject string) {
	told := g.told
	sub, err := g.conn.Subscribe(subject, func(m *nats.Msg) {
		b.send(g, string(deedOf(m)), m.Data)
		told.Add(1)
	})
	if err == nil {
		sub.SetPendingLimits(queued, 1<<20)
		g.subs = append(g.subs, sub)
	}
}

// lost notes that the lead's own server has ended a machine's connection.
func (g *bridged) lost(c *nats.Conn) {
	go func() { // the handler may run while g is locked
		g.mu.Lock()
		defer g.mu.Unlock()
		if g.conn == c {
			g.conn = nil
		}
	}()
}

// send seals a message for a machine.
func (b *bridge) send(g *bridged, what string, plain []byte) {
	g.telling.Lock()
	defer g.telling.Unlock()
	b.conn.Publish(viaSubject(b.print, "to", g.id, what), g.seal.close(fromLead, what, plain))
}

// carry hands a machine's message on. One that was sent away, and may come back, is let
// in again: it has shown the code before.
func (b *bridge) carry(id, what string, data []byte) {
	g := b.guest(id)
	if g == nil {
		return
	}
	plain, ok := g.seal.open(toLead, what, data)
	if !ok {
		return
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.conn == nil && (time.Since(g.tried) < reopened || !b.connect(g, string(g.kind)+"-")) {
		return
	}
	g.conn.Publish(fromMember+id+"."+what, plain)
}

// close ends all connections.
func (b *bridge) close() {
	if b == nil {
		return
	}
	b.mu.Lock()
	b.closed = true
	guests := b.guests
	b.guests = map[string]*bridged{}
	b.mu.Unlock()
	for _, g := range guests {
		g.mu.Lock()
		if g.conn != nil {
			g.settle()
			g.conn.Close()
		}
		g.mu.Unlock()
	}
	b.conn.FlushTimeout(200 * time.Millisecond)
	b.conn.Close()
}

// settle waits for what is on its way to a machine: that the lead leaves, above all.
func (g *bridged) settle() {
	g.conn.FlushTimeout(200 * time.Millisecond)
	for until := time.Now().Add(200 * time.Millisecond); time.Now().Before(until); time.Sleep(time.Millisecond) {
		var came int64
		for _, s := range g.subs {
			waits, _, _ := s.Pending()
			given, _ := s.Delivered()
			came += int64(waits) + given
		}
		if g.told.Load() >= came {
			return
		}
	}
}
