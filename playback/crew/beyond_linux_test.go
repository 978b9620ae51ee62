package crew

import (
	"crypto/tls"
	"fmt"
	"net"
	"net/url"
	"slices"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nats.go"
)

// What stands here is about servers that an academy runs for many crews (DEVELOPERS.md,
// "Beyond one site"): what they keep apart, what they cost in time, and how many crews
// one of them carries. The servers are those of this module, in this process.

// account is that of a crew, and its user.
func account(i int) string { return fmt.Sprint("crew-", i) }

// academy starts a server on which every crew has an account.
func academy(t testing.TB, crews int, change func(*server.Options)) *server.Server {
	t.Helper()
	return foreign(t, func(o *server.Options) {
		for i := range crews {
			a := server.NewAccount(account(i))
			o.Accounts = append(o.Accounts, a)
			only := &server.SubjectPermission{Allow: []string{"drylane.>"}}
			o.Users = append(o.Users, &server.User{Username: account(i), Password: "word", Account: a, Permissions: &server.Permissions{Publish: only, Subscribe: only}})
		}
		if change != nil {
			change(o)
		}
	})
}

// as connects one of that crew.
func as(t testing.TB, s *server.Server, crew int, o ...nats.Option) *nats.Conn {
	t.Helper()
	c, err := nats.Connect(s.ClientURL(), append(o, nats.UserInfo(account(crew), "word"), nats.MaxReconnects(-1), nats.ReconnectWait(20*time.Millisecond),
		nats.ErrorHandler(func(*nats.Conn, *nats.Subscription, error) {}))...)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(c.Close)
	return c
}

// two starts two servers of one cluster.
func two(t testing.TB, crews int) (a, b *server.Server) {
	t.Helper()
	a = academy(t, crews, func(o *server.Options) {
		o.Cluster = server.ClusterOpts{Name: "academy", Host: "127.0.0.1", Port: server.RANDOM_PORT}
	})
	b = academy(t, crews, func(o *server.Options) {
		o.Cluster = server.ClusterOpts{Name: "academy", Host: "127.0.0.1", Port: server.RANDOM_PORT}
		o.Routes = server.RoutesFromStr("nats://" + a.ClusterAddr().String())
	})
	eventually(t, "the servers have met", func() bool { return a.NumRoutes() > 0 && b.NumRoutes() > 0 })
	return a, b
}

// hubAndSite starts a server, and one of a site that is its leaf node for the first crew.
func hubAndSite(t testing.TB) (hub, site *server.Server, port int) {
	t.Helper()
	port = freePort(t)
	hub = hubAt(t, port)
	u := &url.URL{Scheme: "nats-leaf", User: url.UserPassword(account(0), "word"), Host: fmt.Sprint("127.0.0.1:", port)}
	site = academy(t, 1, func(o *server.Options) {
		o.LeafNode.ReconnectInterval = 50 * time.Millisecond
		o.LeafNode.Remotes = []*server.RemoteLeafOpts{{LocalAccount: account(0), URLs: []*url.URL{u}}}
	})
	eventually(t, "the site has met the hub", func() bool { return hub.NumLeafNodes() == 1 && site.NumLeafNodes() == 1 })
	return hub, site, port
}

// hubAt starts a server that others may be leaf nodes of.
func hubAt(t testing.TB, port int) *server.Server {
	t.Helper()
	return academy(t, 2, func(o *server.Options) { o.LeafNode = server.LeafNodeOpts{Host: "127.0.0.1", Port: port} })
}

// freePort is a port that nobody listens on.
func freePort(t testing.TB) int {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().(*net.TCPAddr).Port
}

// TestAccountsKeepCrewsApart: on one server, on two of a cluster, nothing of one crew's
// is heard in another's account, under the very same subjects; nor is anything that is not
// a rehearsal's.
func TestAccountsKeepCrewsApart(t *testing.T) {
	a, b := two(t, 2)
	for name, listens := range map[string]*server.Server{"one server": a, "cluster": b} {
		var own, other atomic.Int64
		mine, theirs := as(t, listens, 0), as(t, listens, 1)
		for c, n := range map[*nats.Conn]*atomic.Int64{mine: &own, theirs: &other} {
			if _, err := c.Subscribe("drylane.>", func(*nats.Msg) { n.Add(1) }); err != nil {
				t.Fatal(err)
			}
			c.Subscribe(">", func(*nats.Msg) { n.Add(1000) }) // not allowed
			c.Flush()
		}
		lead := as(t, a, 0)
		eventually(t, name+": the crew's own is heard", func() bool {
			lead.Publish("elsewhere", nil)
			lead.Publish("drylane.PRINT.to.N.state", []byte("{}"))
			lead.Flush()
			return own.Load() > 20
		})
		theirs.Flush()
		if own.Load() >= 1000 || other.Load() != 0 {
			t.Errorf("%s: heard %d of the own, %d in the other account", name, own.Load(), other.Load())
		}
	}
}

// TestSiteWithoutTheHub: a site whose way to the hub is gone goes on among itself, and its
// crew is heard at the hub again when it is back; another crew is not.
func TestSiteWithoutTheHub(t *testing.T) {
	hub, site, port := hubAndSite(t)
	lead, here := as(t, site, 0), as(t, site, 0)
	var heard atomic.Int64
	here.Subscribe("drylane.>", func(*nats.Msg) { heard.Add(1) })
	here.Flush()
	say := func() bool {
		lead.Publish("drylane.PRINT.to.N.state", []byte("{}"))
		lead.Flush()
		return heard.Load() > 0
	}
	eventually(t, "heard on the site", say)
	hub.Shutdown()
	eventually(t, "the hub is gone", func() bool { return site.NumLeafNodes() == 0 })
	heard.Store(0)
	eventually(t, "still heard on the site", say)
	hub = hubAt(t, port)
	far, other := as(t, hub, 0), as(t, hub, 1)
	var atHub, elsewhere atomic.Int64
	far.Subscribe("drylane.>", func(*nats.Msg) { atHub.Add(1) })
	other.Subscribe("drylane.>", func(*nats.Msg) { elsewhere.Add(1) })
	eventually(t, "heard at the hub", func() bool { say(); return atHub.Load() > 0 })
	if other.Flush(); elsewhere.Load() != 0 {
		t.Errorf("another crew heard %d", elsewhere.Load())
	}
}

// BenchmarkWay times a question of a member's clock and its answer: on one server, over
// two of a cluster, and from a site's leaf node to the hub.
func BenchmarkWay(b *testing.B) {
	one := academy(b, 1, nil)
	left, right := two(b, 1)
	hub, site, _ := hubAndSite(b)
	for _, way := range []struct {
		name         string
		lead, member *server.Server
	}{{"one server", one, one}, {"cluster of two", left, right}, {"leaf node", site, hub}} {
		b.Run(way.name, func(b *testing.B) {
			lead, member := as(b, way.lead, 0), as(b, way.member, 0)
			answers := make(chan struct{}, 1)
			lead.Subscribe("drylane.PRINT.from.N.clock", func(*nats.Msg) { lead.Publish("drylane.PRINT.to.N.clock", make([]byte, 60)) })
			member.Subscribe("drylane.PRINT.to.N.clock", func(*nats.Msg) { answers <- struct{}{} })
			lead.Flush()
			member.Flush()
			ask := func() bool {
				member.Publish("drylane.PRINT.from.N.clock", make([]byte, 40))
				select {
				case <-answers:
					return true
				case <-time.After(100 * time.Millisecond):
					return false
				}
			}
			eventually(b, "the servers know who listens", ask)
			var took []time.Duration
			for b.Loop() {
				began := time.Now()
				if !ask() {
					b.Fatal("no answer")
				}
				took = append(took, time.Since(began))
			}
			slices.Sort(took)
			b.ReportMetric(float64(took[len(took)/2].Microseconds()), "µs-p50")
			b.ReportMetric(float64(took[len(took)*99/100].Microseconds()), "µs-p99")
		})
	}
}

// BenchmarkCrews has crews of ten members each on one server, over TLS, each in an account
// of its own: a lead tells each member of the state ten times a second, each member asks for
// the time four times a second. An operation is a second. Both ends of all connections
// are in this process: its share of a core is more than that of the server.
func BenchmarkCrews(b *testing.B) {
	const members = 10
	cert, err := ownCertificate(time.Now())
	if err != nil {
		b.Fatal(err)
	}
	for _, crews := range []int{5, 20, 60} {
		b.Run(fmt.Sprint(crews), func(b *testing.B) {
			s := academy(b, crews, func(o *server.Options) {
				o.TLSConfig, o.TLSTimeout, o.AuthTimeout = &tls.Config{MinVersion: tls.VersionTLS13, Certificates: []tls.Certificate{cert}}, 60, 60
			})
			var heard, asked atomic.Int64
			var late sync.Map
			stop := make(chan struct{})
			var wg sync.WaitGroup
			trust := nats.Secure(&tls.Config{InsecureSkipVerify: true})
			for crew := range crews {
				lead := as(b, s, crew, trust, nats.Timeout(time.Minute))
				lead.Subscribe("drylane.PRINT.from.*.clock", func(m *nats.Msg) { m.Respond(m.Data) })
				for i := range members {
					member := as(b, s, crew, trust, nats.Timeout(time.Minute))
					member.Subscribe(fmt.Sprintf("drylane.PRINT.to.%d.state", i), func(*nats.Msg) { heard.Add(1) })
					answer := fmt.Sprintf("drylane.PRINT.to.%d.clock", i)
					member.Subscribe(answer, func(m *nats.Msg) {
						var at time.Time
						if at.UnmarshalBinary(m.Data) == nil {
							late.Store(asked.Add(1), time.Since(at))
						}
					})
					wg.Go(func() { // by turns
						every(stop, 250*time.Millisecond, time.Duration(crew*members+i)*977*time.Microsecond%(250*time.Millisecond), func() {
							now, _ := time.Now().MarshalBinary()
							member.PublishRequest(fmt.Sprintf("drylane.PRINT.from.%d.clock", i), answer, now)
						})
					})
				}
				lead.Flush()
				wg.Go(func() {
					every(stop, stateEvery, time.Duration(crew)*1013*time.Microsecond%stateEvery, func() {
						for i := range members {
							lead.Publish(fmt.Sprintf("drylane.PRINT.to.%d.state", i), make([]byte, 300))
						}
					})
				})
			}
			time.Sleep(time.Second) // all of them are in step with themselves
			before, n, began := cpu(), heard.Load()+asked.Load(), time.Now()
			for range b.N {
				time.Sleep(time.Second)
			}
			took := time.Since(began).Seconds()
			b.ReportMetric((cpu()-before).Seconds()/took*100, "%core")
			b.ReportMetric(float64(heard.Load()+asked.Load()-n)/took, "messages/s")
			close(stop)
			wg.Wait()
			var all []time.Duration
			late.Range(func(_, d any) bool { all = append(all, d.(time.Duration)); return true })
			slices.Sort(all)
			b.ReportMetric(float64(all[len(all)/2].Microseconds()), "µs-p50")
			b.ReportMetric(float64(all[len(all)*99/100].Microseconds()), "µs-p99")
		})
	}
}

// every does something at that pace, beginning after a while, until stop is closed.
func every(stop <-chan struct{}, pace, after time.Duration, do func()) {
	select {
	case <-stop:
		return
	case <-time.After(after):
	}
	t := time.NewTicker(pace)
	defer t.Stop()
	for {
		select {
		case <-stop:
			return
		case <-t.C:
			do()
		}
	}
}

// cpu is what this process has used of all cores.
func cpu() time.Duration {
	var r syscall.Rusage
	syscall.Getrusage(syscall.RUSAGE_SELF, &r)
	return time.Duration(r.Utime.Nano() + r.Stime.Nano())
}
