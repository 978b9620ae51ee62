package crew

import (
	"math/rand/v2"
	"sync"
	"testing"
	"time"

	"drylane/show"
	"drylane/testdata/reftest"
)

// A proxy stands between a member and the lead, on loopback, and makes the way worse.
type proxy struct{ *reftest.Proxy }

func newProxy(t testing.TB, to string, delay func() time.Duration) *proxy {
	t.Helper()
	return &proxy{reftest.NewProxy(t, to, delay)}
}

// sever is Proxy.Sever.
func (p *proxy) sever(stay bool) { p.Sever(stay) }

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
	m := r.dial(r.through(newProxy(t, a.Host, reftest.BadLink()), "Ben", "position:Quay"))
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
		m := r.dial(r.through(p, name, "listener"))
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
