package crew

import (
	"math/rand/v2"
	"net"
	"sync"
	"testing"
	"time"

	"drylane/show"
)

// A proxy stands between a member and the lead, on loopback, and makes the way worse.
type proxy struct {
	net.Listener
	to    string
	delay func() time.Duration // of a piece, either way; the order is kept

	mu    sync.Mutex
	conns []net.Conn
	cut   bool
}

func newProxy(t testing.TB, to string, delay func() time.Duration) *proxy {
	t.Helper()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	p := &proxy{Listener: ln, to: to, delay: delay}
	t.Cleanup(func() { ln.Close(); p.sever(true) })
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

// sever ends what goes through, and with stay set lets nothing through again until it
// is mended.
func (p *proxy) sever(stay bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, c := range p.conns {
		c.Close()
	}
	p.conns, p.cut = nil, stay
}

func (p *proxy) join(in net.Conn) {
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
func (p *proxy) carry(from, to net.Conn) {
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

// bad is 20 ms, 5 more or less, and a stall of 200 ms once in fifty pieces.
func bad() func() time.Duration {
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

// through is an invitation that leads through a proxy.
func (r *rig) through(p *proxy, name, role string) Join {
	j := r.invite(name, role)
	j.Address.Host = p.Addr().String()
	return j
}

// TestBadLink: over a link with delay, jitter and stalls the lead's clock is within
// the bound that is said, all the time.
func TestBadLink(t *testing.T) {
	r := newRig(t, nil)
	a, _ := ParseAddress(r.Invitation().Address)
	m, err := Dial(t.Context(), r.through(newProxy(t, a.Host, bad()), "Ben", "position:Quay"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(m.Close)
	eventually(t, "the clock is known", func() bool { v := m.View(); return v.Clocked })
	var worst, bound time.Duration
	for until := time.Now().Add(1500 * time.Millisecond); time.Now().Before(until); time.Sleep(5 * time.Millisecond) {
		before := time.Since(r.began)
		v := m.View()
		after := time.Since(r.began)
		off := max(v.Lead()-after, before-v.Lead(), 0)
		if off > v.Clock.Bound {
			t.Fatalf("off by %v, said within %v", off, v.Clock.Bound)
		}
		worst, bound = max(worst, off), v.Clock.Bound
	}
	if bound < 15*time.Millisecond {
		t.Errorf("said within %v after a round trip of 30 ms at least", bound)
	}
	t.Logf("worst %v, in the end within %v", worst, bound)
}

// TestLostAgainAndAgain: members whose way is cut at random come back each time
// without a key, none goes on while nothing is heard of the lead, and the lead has
// each of them once.
func TestLostAgainAndAgain(t *testing.T) {
	cuts := 5
	if testing.Short() {
		cuts = 1
	}
	r := newRig(t, nil)
	r.run.do(show.Arm)
	r.run.do(show.Start)
	a, _ := ParseAddress(r.Invitation().Address)
	var wg sync.WaitGroup
	for i := range 10 {
		p := newProxy(t, a.Host, func() time.Duration { return 0 })
		name := string(rune('A' + i))
		m, err := Dial(t.Context(), r.through(p, name, "listener"))
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(m.Close)
		wg.Add(1)
		go func() {
			defer wg.Done()
			rnd := rand.New(rand.NewPCG(uint64(i), 7))
			for range cuts {
				time.Sleep(time.Duration(rnd.IntN(100)) * time.Millisecond)
				p.sever(true)
				for until := time.Now().Add(time.Duration(rnd.IntN(1500)) * time.Millisecond); time.Now().Before(until); time.Sleep(5 * time.Millisecond) {
					if v := m.View(); v.Running() && v.Silent > 2*time.Second {
						t.Errorf("%s goes on after %v without the lead", name, v.Silent)
					}
				}
				p.sever(false)
				eventually(t, name+" is back", func() bool { v := m.View(); return v.Running() && v.Silent < 200*time.Millisecond })
			}
		}()
	}
	wg.Wait()
	eventually(t, "nobody is lost", func() bool {
		for _, l := range r.Board().Lines {
			if l.Lost > 0 {
				return false
			}
		}
		return len(r.Board().Lines) == 10
	})
}
