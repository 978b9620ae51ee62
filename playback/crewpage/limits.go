package crewpage

import (
	"context"
	"net"
	"net/http"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// Limits of what pages may take of this machine. A whole crew may stand behind one
// address, with three connections each; what one address takes is nobody else's.
const (
	mostConns     = 384 // connections
	mostFrom      = 128 // ... of one address
	connsASec     = 20  // ... new ones
	mostPages     = 100 // that are there
	mostPagesFrom = 40  // ... of one address
	knocksASec    = 10  // pages that are loaded or come in, of one address
	knocksAtOnce  = 80
	asksASec      = 400 // requests of one address
	asksAtOnce    = 800
	requestsASec  = 100 // ... of one connection
	mostRequests  = 200 // ... at once
	mostHeader    = 8 << 10
	mostWords     = 4 << 10 // bytes of a request's body
	mostAnswers   = 32      // that wait for a slow page
	writeWithin   = 2 * time.Second
	readWithin    = 3 * time.Second
	pageWithin    = 10 * time.Second // for the page itself, over a poor link
	idleFor       = 30 * time.Second
	leaveWithin   = 300 * time.Millisecond
	mostAddresses = 1000 // that are counted
)

// A doorway is a listener that lets in so many connections, so many of one address, and
// those not all at once. What is too much is closed before a byte of it is read.
type doorway struct {
	net.Listener

	mu  sync.Mutex
	all int
	by  map[string]*visits
}

// Visits are what comes from one address.
type visits struct {
	open                int           // connections
	conns, knocks, asks *rate.Limiter // new ones; pages that are loaded or come in; requests
}

func newVisits() *visits {
	return &visits{conns: rate.NewLimiter(connsASec, mostFrom), knocks: rate.NewLimiter(knocksASec, knocksAtOnce), asks: rate.NewLimiter(asksASec, asksAtOnce)}
}

func newDoorway(l net.Listener) *doorway { return &doorway{Listener: l, by: map[string]*visits{}} }

// Accept implements net.Listener.
func (d *doorway) Accept() (net.Conn, error) {
	for {
		c, err := d.Listener.Accept()
		if err != nil {
			return nil, err
		}
		host := hostOf(c.RemoteAddr().String())
		if d.enter(host) {
			return &visitor{Conn: c, leave: func() { d.leave(host) }}, nil
		}
		c.Close()
	}
}

func hostOf(addr string) string {
	host, _, err := net.SplitHostPort(addr)
	if err != nil {
		return "an unknown address"
	}
	return host
}

func (d *doorway) enter(host string) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	v := d.of(host)
	if d.all >= mostConns || v.open >= mostFrom || !v.conns.Allow() {
		return false
	}
	d.all++
	v.open++
	return true
}

// of are the visits of an address. The caller has the lock.
func (d *doorway) of(host string) *visits {
	v := d.by[host]
	if v == nil {
		if len(d.by) >= mostAddresses {
			d.forget()
		}
		v = newVisits()
		d.by[host] = v
	}
	return v
}

// allows reports whether an address may ask for one thing more.
func (d *doorway) allows(host string, knocks bool) bool {
	d.mu.Lock()
	v := d.of(host)
	d.mu.Unlock()
	return v.asks.Allow() && (!knocks || v.knocks.Allow())
}

// forget forgets the addresses from which nobody is there.
func (d *doorway) forget() {
	for host, v := range d.by {
		if v.open == 0 {
			delete(d.by, host)
		}
	}
}

func (d *doorway) leave(host string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.all--
	d.by[host].open--
}

// A visitor is a connection that was let in.
type visitor struct {
	net.Conn
	once  sync.Once
	leave func()
}

// Close implements net.Conn.
func (v *visitor) Close() error {
	v.once.Do(v.leave)
	return v.Conn.Close()
}

// limitKey is where the context of a connection has how fast it may ask.
type limitKey struct{}

func withLimit(ctx context.Context, _ net.Conn) context.Context {
	return context.WithValue(ctx, limitKey{}, rate.NewLimiter(requestsASec, mostRequests))
}

// limited refuses what a connection or an address asks for too fast, and ends that
// connection.
func (d *doorway) limited(h http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		l, ok := r.Context().Value(limitKey{}).(*rate.Limiter)
		if ok && !l.Allow() || !d.allows(hostOf(r.RemoteAddr), r.URL.Path != "/say") {
			w.Header().Set("Connection", "close")
			refuse(w, http.StatusTooManyRequests, "too much is asked for at once; wait a moment")
			return
		}
		h.ServeHTTP(w, r)
	})
}
