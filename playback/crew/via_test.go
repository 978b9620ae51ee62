package crew

import (
	"context"
	"crypto/tls"
	"encoding/json"
	"encoding/pem"
	"fmt"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/crew"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nats.go"
)

// foreign is a NATS server that knows nothing of crews and lets everybody do
// everything.
func foreign(t testing.TB, change func(*server.Options)) *server.Server {
	t.Helper()
	o := &server.Options{Host: "127.0.0.1", Port: server.RANDOM_PORT, NoLog: true, NoSigs: true}
	if change != nil {
		change(o)
	}
	s, err := server.NewServer(o)
	if err != nil {
		t.Fatal(err)
	}
	s.Start()
	t.Cleanup(s.Shutdown)
	if !s.ReadyForConnections(dialWithin) {
		t.Fatal("the foreign server does not come up")
	}
	return s
}

// viaRig is a lead that is reached over a server.
func viaRig(t testing.TB, url string, change func(*Config)) *rig {
	return newRig(t, func(c *Config) {
		c.Listen, c.Via = "", Via{URL: url}
		if change != nil {
			change(c)
		}
	})
}

// eavesdrop collects every message that goes over a server.
func eavesdrop(t testing.TB, url string) (*nats.Conn, func() []*nats.Msg) {
	t.Helper()
	c, err := nats.Connect(url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(c.Close)
	got := make(chan *nats.Msg, 1<<16)
	if _, err := c.Subscribe(">", func(m *nats.Msg) { got <- m }); err != nil {
		t.Fatal(err)
	}
	c.Flush()
	return c, func() (list []*nats.Msg) {
		c.Flush()
		for {
			select {
			case m := <-got:
				list = append(list, m)
			case <-time.After(20 * time.Millisecond):
				return list
			}
		}
	}
}

// TestVia: over a server of somebody else's all is as over the lead's own: roles see
// what is theirs, anybody calls HOLD, and nothing listens at the lead's machine.
func TestVia(t *testing.T) {
	f := foreign(t, nil)
	r := viaRig(t, f.ClientURL(), nil)
	if a := r.server.Addr(); a != nil {
		t.Errorf("the lead listens at %v", a)
	}
	ada, ben, lis := r.join("Ada", "safety"), r.join("Ben", "position:Quay"), r.join("Lis", "listener")
	eventually(t, "cues", func() bool { return len(ada.View().Cues.List) == 6 && len(ben.View().Cues.List) == 3 })
	if v := lis.View(); len(v.Cues.List)+len(v.Crew)+len(v.Events) > 0 {
		t.Errorf("a listener is told of more than the run: %+v", v)
	}
	eventually(t, "the lead's clock is known", func() bool { v := lis.View(); return v.Clocked && v.Clock.Bound < time.Second })
	r.run.do(show.Arm)
	r.run.do(show.Start)
	all := []*Member{ada, ben, lis}
	for i, m := range all {
		eventually(t, "all see it run", func() bool {
			return !slices.ContainsFunc(all, func(m *Member) bool { v := m.View(); return !v.Running() })
		})
		m.Hold("boat")
		eventually(t, "all see it held", func() bool {
			return !slices.ContainsFunc(all, func(m *Member) bool { return m.View().State.Hold != i+1 })
		})
		r.run.do(show.Resume)
	}
	ben.Do(crew.Object, Deed{})
	eventually(t, "refused", func() bool { return ben.View().Answer.Refused == errMayNot.Error() })
	r.Close()
	eventually(t, "the lead says that it leaves", func() bool { return ada.View().Over && ben.View().Over })
}

// TestViaCluster: the lead is at one node of a cluster, its members at another; a node
// that ends takes nobody with it who knows of two.
func TestViaCluster(t *testing.T) {
	node := func(name string, routes ...*url.URL) *server.Server {
		return foreign(t, func(o *server.Options) {
			o.ServerName, o.Routes = name, routes
			o.Cluster = server.ClusterOpts{Name: "towns", Host: "127.0.0.1", Port: server.RANDOM_PORT}
		})
	}
	one := node("one")
	two := node("two", &url.URL{Scheme: "nats", Host: one.ClusterAddr().String()})
	eventually(t, "the cluster stands", func() bool { return one.NumRoutes() > 0 && two.NumRoutes() > 0 })
	r := viaRig(t, one.ClientURL(), nil)
	j := r.invite("Ada", "safety")
	j.Address.Host = two.ClientURL()
	ada := r.dial(j)
	r.run.do(show.Arm)
	r.run.do(show.Start)
	eventually(t, "Ada sees it run", func() bool { v := ada.View(); return v.Running() })
	two.Shutdown()
	eventually(t, "Ada is there over the other node", func() bool {
		v := ada.View()
		return v.Running() && v.Silent < 100*time.Millisecond && ada.conn.ConnectedUrl() == one.ClientURL()
	})
	ada.Hold("")
	eventually(t, "Ada sees it held", func() bool { return ada.View().State.Hold == 1 })
}

// TestViaTLS: the server's own certificate is checked, and its users are let in by what
// its operator has given them.
func TestViaTLS(t *testing.T) {
	web := httptest.NewTLSServer(nil) // whose certificate is for 127.0.0.1
	defer web.Close()
	cert, ca := web.TLS.Certificates[0], filepath.Join(t.TempDir(), "ca.pem")
	if err := os.WriteFile(ca, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: cert.Certificate[0]}), 0o600); err != nil {
		t.Fatal(err)
	}
	f := foreign(t, func(o *server.Options) {
		o.Username, o.Password = "crew", "secret"
		o.TLS, o.TLSTimeout, o.TLSConfig = true, 3, &tls.Config{MinVersion: tls.VersionTLS13, Certificates: []tls.Certificate{cert}}
	})
	host := f.Addr().String()
	for _, c := range []struct{ url, ca, wrong string }{
		{"tls://crew:secret@" + host, "", "no server answers there"},
		{"tls://crew:wrong@" + host, ca, "lets nobody in without"},
	} {
		plan := newRig(t, nil).cfg
		plan.Via = Via{URL: c.url, CA: c.ca}
		if l, err := Open(plan); err == nil || !strings.Contains(err.Error(), c.wrong) || strings.Contains(err.Error(), "crew:") {
			l.Close()
			t.Errorf("%s: %v; wanted %q", c.url, err, c.wrong)
		}
	}
	r := newRig(t, func(c *Config) { c.Via = Via{URL: "tls://crew:secret@" + host, CA: ca} })
	j := r.invite("Ada", "safety")
	if j.Address.Host != "tls://"+host {
		t.Errorf("the invitation leads to %s", j.Address.Host)
	}
	j.Address.Host, j.Via.CA = "tls://crew:secret@"+host, ca
	ada, err := Dial(t.Context(), j)
	if err != nil {
		t.Fatal(err)
	}
	defer ada.Close()
	eventually(t, "Ada is told of the run", func() bool { return ada.View().Came })
}

// TestViaStranger: whoever hears all that goes over the server learns neither a code nor
// a name nor the run, whatever is said there.
func TestViaStranger(t *testing.T) {
	f := foreign(t, nil)
	_, heard := eavesdrop(t, f.ClientURL())
	r := viaRig(t, f.ClientURL(), nil)
	ada := r.join("Ada-the-Great", "safety")
	r.run.do(show.Arm)
	ada.Do(crew.Note, Deed{Text: "the wind has turned"})
	eventually(t, "noted", func() bool { return len(r.run.logged(crew.HasNoted)) == 1 && len(ada.View().Crew) == 1 })
	list := heard()
	if len(list) < 10 {
		t.Fatalf("only %d messages were heard", len(list))
	}
	code := strings.TrimPrefix(r.Invitation().Codes[crew.Safety], "safety-")
	for _, m := range list {
		if !strings.HasPrefix(m.Subject, "drylane."+r.print+".") {
			t.Errorf("a message on %s", m.Subject)
		}
		for _, secret := range []string{code, "Great", "armed", "wind", "Harbour", "{"} {
			if strings.Contains(string(m.Data), secret) && len(secret) > 1 || json.Valid(m.Data) && len(m.Data) > 0 {
				t.Errorf("%s tells %q", m.Subject, secret)
			}
		}
	}
}

// TestViaReplay: what was recorded and is sent again, as it was, by another or as
// something else, is not opened, at either end.
func TestViaReplay(t *testing.T) {
	f := foreign(t, nil)
	c, heard := eavesdrop(t, f.ClientURL())
	r := viaRig(t, f.ClientURL(), nil)
	ada, ben := r.join("Ada", "safety"), r.join("Ben", "position:Quay")
	r.run.do(show.Arm)
	r.run.do(show.Start)
	eventually(t, "it runs", func() bool { v := ben.View(); return v.Running() })
	ben.Hold("")
	ben.Do(crew.Note, Deed{Text: "once"})
	eventually(t, "held and noted", func() bool { return len(r.run.called()) == 1 && len(r.run.logged(crew.HasNoted)) == 1 })
	recorded := heard()
	r.run.do(show.Resume)
	eventually(t, "it runs", func() bool { v := ben.View(); return v.Running() && ada.View().State.Hold == 0 })
	n := ben.View().State.N
	for _, m := range recorded {
		c.Publish(m.Subject, m.Data)
		for _, turned := range [][2]string{{ben.id, ada.id}, {".note", ".hold"}, {".clock", ".hold"}, {".hold", ".note"}, {".to.", ".from."}, {".from.", ".to."}, {".own", ".state"}} {
			if s := strings.Replace(m.Subject, turned[0], turned[1], 1); s != m.Subject {
				c.Publish(s, m.Data)
			}
		}
	}
	c.Flush()
	eventually(t, "the run goes on", func() bool { return ben.View().State.N > n+3 })
	if calls, notes := len(r.run.called()), len(r.run.logged(crew.HasNoted)); calls != 1 || notes != 1 {
		t.Errorf("%d holds and %d notes were taken; wanted one of each", calls, notes)
	}
	if v := ben.View(); !v.Running() {
		t.Errorf("old news was believed: %+v", v.State)
	}
}

// TestViaForged: nobody speaks as the lead or as another: neither a stranger, nor a
// member with a good code.
func TestViaForged(t *testing.T) {
	f := foreign(t, nil)
	c, _ := eavesdrop(t, f.ClientURL())
	r := viaRig(t, f.ClientURL(), nil)
	ben, eve := r.join("Ben", "position:Quay"), r.join("Eve", "position:Mole")
	eventually(t, "Ben is told of the run", func() bool { return ben.View().Came })
	forged := pack(&State{N: 1 << 40, State: "running", Speed: 1})
	for _, data := range [][]byte{forged, eve.seal.close(fromLead, "state", forged), eve.seal.close(toLead, "state", forged)} {
		c.Publish(viaSubject(r.print, "to", ben.id, "state"), data)
	}
	for _, d := range append(crew.Deeds(), hello, clock, "welcome", "state") {
		what := string(d)
		for _, plain := range [][]byte{pack(&Deed{Text: "forged", Call: 9}), pack(&Knock{r.Invitation().Codes[crew.Safety], Hello{Version: Version, Name: "Ben", Role: "safety"}})} {
			for _, data := range [][]byte{plain, eve.seal.close(toLead, what, plain), append(eve.public[:], eve.seal.close(toLead, what, plain)...)} {
				c.Publish(viaSubject(r.print, "from", ben.id, what), data)
			}
		}
	}
	// What she may not do she may not under her own number either.
	for _, d := range []crew.Deed{crew.Resume, crew.Nudge, crew.StrikeOff, crew.Object, crew.Fault} {
		c.Publish(viaSubject(r.print, "from", eve.id, string(d)), eve.seal.close(toLead, string(d), []byte("{}")))
	}
	c.Flush()
	n := ben.View().State.N
	eventually(t, "Ben is told more", func() bool { return ben.View().State.N > n+3 && ben.View().State.N < 1<<40 })
	if v := ben.View(); v.State.State != "safe" || len(r.run.called()) > 0 || len(r.Board().Lines) != 2 || r.Board().Lines[0].Role != "position:Quay" {
		t.Errorf("%+v, %d holds, %+v", v.State, len(r.run.called()), r.Board().Lines)
	}
}

// TestViaOtherLead: a machine that answers with another key is not talked to, and a
// member learns that before it has said its code.
func TestViaOtherLead(t *testing.T) {
	f := foreign(t, nil)
	c, heard := eavesdrop(t, f.ClientURL())
	other, err := newKeys()
	if err != nil {
		t.Fatal(err)
	}
	const print = "2345-6789-ABCD-EFGH"
	c.Subscribe(viaSubject(print, "from", "*", askKeys), func(m *nats.Msg) {
		c.Publish(strings.Replace(m.Subject, ".from.", ".to.", 1), other.public[:])
	})
	c.Flush()
	j := Join{Address: Address{f.ClientURL(), print}, Code: "safety-2222-2222", Name: "Ada", Role: crew.Role{Kind: crew.Safety}}
	ctx, cancel := context.WithTimeout(t.Context(), 600*time.Millisecond)
	defer cancel()
	if m, err := Dial(ctx, j); err == nil {
		m.Close()
		t.Error("it talks to another lead")
	}
	for _, m := range heard() {
		if strings.HasSuffix(m.Subject, "."+hello) {
			t.Error("the code was said")
		}
	}
}

// TestViaCodes: a wrong code is refused, slowed down and shown; one that lets in one
// person lets in one.
func TestViaCodes(t *testing.T) {
	f := foreign(t, nil)
	r := viaRig(t, f.ClientURL(), func(c *Config) { c.Once = true })
	j := r.invite("Ada", "safety")
	wrong := j
	wrong.Code = "safety-2222-2222"
	if _, err := Dial(t.Context(), wrong); err == nil || !strings.Contains(err.Error(), "the code is not one of this rehearsal's") {
		t.Errorf("a wrong code: %v", err)
	}
	eventually(t, "the wrong code is shown", func() bool { return r.Board().Wrong == 1 })
	r.dial(j)
	j.Name = "Eve"
	if _, err := Dial(t.Context(), j); err == nil {
		t.Error("a code let in two")
	}
	eventually(t, "one is there", func() bool { return len(r.Board().Lines) == 1 })
}

// TestViaSentAway: a member that sends far too much is sent away and comes back without
// a code, also where that was for one person.
func TestViaSentAway(t *testing.T) {
	if testing.Short() {
		t.Skip("waits until somebody may come back")
	}
	f := foreign(t, nil)
	r := viaRig(t, f.ClientURL(), func(c *Config) { c.Once = true })
	eve := r.join("Eve", "position:Quay")
	eventually(t, "joined", func() bool { return len(r.Board().Lines) == 1 })
	for i := range 2 * mostASec {
		eve.publish("note", &Deed{Text: fmt.Sprint(i)})
	}
	eventually(t, "it is sent away", func() bool { return len(r.run.logged(crew.WasRefused)) > 0 })
	before := len(r.run.logged(crew.HasNoted))
	eventually(t, "it is back", func() bool {
		eve.publish("note", &Deed{Text: "back"})
		time.Sleep(50 * time.Millisecond)
		list := r.run.logged(crew.HasNoted)
		return len(list) > before && list[len(list)-1].Text == "back"
	})
}

// FuzzSeal: whatever comes, nothing is opened that the other end has not sealed.
func FuzzSeal(f *testing.F) {
	a, _ := newKeys()
	b, _ := newKeys()
	f.Add([]byte(nil), "hold")
	f.Add(newSeal(a, b.public).close(toLead, "hold", []byte("{}")), "note")
	f.Fuzz(func(t *testing.T, data []byte, what string) {
		here := newSeal(b, a.public)
		if _, ok := here.open(fromLead, what, data); ok {
			t.Error("opened")
		}
		if _, ok := here.open(toLead, "hold", newSeal(a, b.public).close(toLead, "hold", data)); !ok && len(data) < MaxMessage/2 {
			t.Error("not opened")
		}
	})
}

// TestViaAddress: what is written of a server and what is refused.
func TestViaAddress(t *testing.T) {
	for s, want := range map[string]string{
		"nats://127.0.0.1:4222/2345-6789-ABCD-EFGH":             "",
		"tls://a.example:4222,tls://b.example/23456789abcdefgh": "",
		"nats://u:p@a.example:4222/2345-6789-ABCD-EFGH":         "",
		"http://a.example/2345-6789-ABCD-EFGH":                  `found the server "http://a.example"; wanted nats://HOST:PORT`,
		"nats://a.example/":                                     "without the fingerprint",
		"nats://a.example":                                      "found a fingerprint of 9 characters",
		"nats:///2345-6789-ABCD-EFGH":                           "found the server",
	} {
		a, err := ParseAddress(s)
		switch {
		case want == "" && (err != nil || !a.Via() || a.Print != "2345-6789-ABCD-EFGH"):
			t.Errorf("%s: %+v, %v", s, a, err)
		case want != "" && (err == nil || !strings.Contains(err.Error(), want)):
			t.Errorf("%s: %v; wanted %q", s, err, want)
		}
	}
	if got := (Via{URL: "nats://u:p@a.example:4222,tls://b.example"}).shown(); got != "nats://a.example:4222,tls://b.example" {
		t.Errorf("shown: %s", got)
	}
}
