package reftest

import (
	"math/rand/v2"
	"net"
	"sync"
	"testing"
	"time"
)

// A Proxy carries connections on loopback and makes the way worse.
type Proxy struct {
	net.Listener
	to    string
	delay func() time.Duration // of a piece, either way; the order is kept

	mu    sync.Mutex
	conns []net.Conn
	cut   bool
}

// NewProxy carries to an address until the test ends.
func NewProxy(t testing.TB, to string, delay func() time.Duration) *Proxy {
	t.Helper()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	p := &Proxy{Listener: ln, to: to, delay: delay}
	t.Cleanup(func() { ln.Close(); p.Sever(true) })
	go func() {
		for {
			c, err := ln.Accept()
			if err != nil {
				return
			}
			go p.join(c)
		}
	}()
	return p
}

// Sever ends what goes through, and with stay set lets nothing through again until it
// is called without.
func (p *Proxy) Sever(stay bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, c := range p.conns {
		c.Close()
	}
	p.conns, p.cut = nil, stay
}

func (p *Proxy) join(in net.Conn) {
	out, err := net.Dial("tcp", p.to)
	if err != nil {
		in.Close()
		return
	}
	p.mu.Lock()
	p.conns = append(p.conns, in, out)
	if p.cut {
		in.Close()
		out.Close()
	}
	p.mu.Unlock()
	go p.carry(in, out)
	p.carry(out, in)
}

// carry carries bytes one way, each piece after its delay.
func (p *Proxy) carry(from, to net.Conn) {
	type piece struct {
		data []byte
		due  time.Time
	}
	pieces := make(chan piece, 4096)
	go func() {
		for x := range pieces {
			time.Sleep(time.Until(x.due))
			if _, err := to.Write(x.data); err != nil {
				from.Close()
			}
		}
		to.Close()
	}()
	defer close(pieces)
	for {
		b := make([]byte, 4096)
		n, err := from.Read(b)
		if err != nil {
			return
		}
		pieces <- piece{b[:n], time.Now().Add(p.delay())}
	}
}

// BadLink is a delay of 20 ms, 5 more or less, and a stall of 200 ms once in fifty
// pieces.
func BadLink() func() time.Duration {
	var mu sync.Mutex
	r := rand.New(rand.NewPCG(1, 2))
	return func() time.Duration {
		mu.Lock()
		defer mu.Unlock()
		d := 15*time.Millisecond + time.Duration(r.Int64N(int64(10*time.Millisecond)))
		if r.IntN(50) == 0 {
			d += 200 * time.Millisecond
		}
		return d
	}
}
