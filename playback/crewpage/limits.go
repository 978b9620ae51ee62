package crewpage

import (
	"context"
	"net"
	"net/http"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// Limits of what pages may take of this machine.
const (
	mostConns     = 384 // connections
	mostFrom      = 128 // ... of one address: a whole crew may stand behind one, with three each
	connsASec     = 20  // ... new ones of one address
	mostPages     = 100 // that are there
	mostPagesFrom = 40  // ... of one address
	knocksASec    = 20  // joins of all
	knocksAtOnce  = 60
	requestsASec  = 100 // of one connection
	mostRequests  = 200 // ... at once
	mostHeader    = 8 << 10
	mostWords     = 4 << 10 // bytes of a request's body
	mostAnswers   = 32      // that wait for a slow page
	writeWithin   = 2 * time.Second
	readWithin    = 3 * time.Second
	pageWithin    = 10 * time.Second // for the page itself, over a poor link
	idleFor       = 30 * time.Second
	leaveWithin   = 300 * time.Millisecond
	mostAddresses = 1000 // that connections are counted of
)

// A doorway is a listener that lets in so many connections, so many of one address, and
// those not all at once. What is too much is closed before a byte of it is read.
type doorway struct {
	net.Listener

	mu  sync.Mutex
	all int
	by  map[string]*visits
}

type visits struct {
	open int
	rate *rate.Limiter
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
	v := d.by[host]
	if v == nil {
		if len(d.by) >= mostAddresses {
			d.forget()
		}
		v = &visits{rate: rate.NewLimiter(connsASec, mostFrom)}
		d.by[host] = v
	}
	if d.all >= mostConns || v.open >= mostFrom || !v.rate.Allow() {
		return false
	}
	d.all++
	v.open++
	return true
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

// limited refuses what a connection asks for too fast, and ends that connection.
func limited(h http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if l, ok := r.Context().Value(limitKey{}).(*rate.Limiter); ok && !l.Allow() {
			w.Header().Set("Connection", "close")
			refuse(w, http.StatusTooManyRequests, "too much is asked for at once")
			return
		}
		h.ServeHTTP(w, r)
	})
}
