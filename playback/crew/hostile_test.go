package crew

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/crew"

	"github.com/nats-io/nats.go"
)

// A stranger speaks to the server by hand, with a code that is good.
type stranger struct {
	*nats.Conn
	id string
}

func (r *rig) stranger(k crew.Kind) stranger {
	r.t.Helper()
	a, _ := ParseAddress(r.Invitation().Address)
	id := newToken()
	c, err := nats.Connect("tls://"+a.Host, nats.Secure(pinned(a.Print)), nats.TLSHandshakeFirst(),
		nats.UserInfo(id, r.Invitation().Codes[k]+" "+newToken()), nats.NoReconnect(), nats.ErrorHandler(func(*nats.Conn, *nats.Subscription, error) {}))
	if err != nil {
		r.t.Fatal(err)
	}
	r.t.Cleanup(c.Close)
	return stranger{c, id}
}

// subjects are all there are, and some that there are not, as seen from a machine
// with another one beside it.
func subjects(own, other string) map[string]string {
	all := map[string]string{}
	for _, d := range crew.Deeds() {
		all["own "+string(d)] = fromMember + own + "." + string(d)
		all["other's "+string(d)] = fromMember + other + "." + string(d)
	}
	for _, s := range crew.Sights() {
		all["told "+string(s)] = toAll + string(s)
	}
	for _, w := range []string{hello, clock, welcome, answer, "own", "drill", "events"} {
		all["own "+w] = fromMember + own + "." + w
		all["other's "+w] = fromMember + other + "." + w
		all["to me "+w] = toMember + own + "." + w
		all["to the other "+w] = toMember + other + "." + w
	}
	all["anything"], all["inbox"], all["system"], all["deep"] = "dl.anything", "_INBOX.x.y", "$SYS.REQ.SERVER.PING", fromMember+own+".hold.more"
	return all
}

// hears collects what comes on a subject.
type hears struct {
	mu  sync.Mutex
	got map[string]bool
}

func (h *hears) take(m *nats.Msg) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.got[m.Subject] = true
}

func (h *hears) list() []string {
	h.mu.Lock()
	defer h.mu.Unlock()
	return slices.Sorted(maps.Keys(h.got))
}

// TestEverySubjectEveryRole: a client that has a good code and speaks by hand
// publishes and hears what its role may, and nothing else passes the server: neither
// a resume or a nudge, nor as another, nor in the lead's place.
func TestEverySubjectEveryRole(t *testing.T) {
	r := newRig(t, nil)
	other := newToken()
	for _, k := range crew.Kinds() {
		s := r.stranger(k)
		want := []string{fromMember + s.id + ".clock", fromMember + s.id + ".hello"}
		for _, d := range crew.Deeds() {
			if k.May(d) {
				want = append(want, fromMember+s.id+"."+string(d))
			}
		}
		slices.Sort(want)
		passed := &hears{got: map[string]bool{}}
		sub, err := r.conn.Subscribe("dl.>", passed.take)
		if err != nil {
			t.Fatal(err)
		}
		r.conn.Flush()
		for _, subject := range subjects(s.id, other) {
			s.Publish(subject, []byte("x"))
		}
		s.Flush()
		r.conn.Flush()
		eventually(t, "all that may pass has", func() bool { return len(mine(passed.list(), s.id, other)) >= len(want) })
		sub.Unsubscribe()
		if got := mine(passed.list(), s.id, other); !slices.Equal(got, want) {
			t.Errorf("%s published on\n%s; wanted\n%s", k, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
		if slices.Contains(want, fromMember+s.id+".resume") || slices.Contains(want, fromMember+s.id+".nudge") {
			t.Errorf("%s may resume or nudge", k)
		}
	}
}

// mine leaves out what the lead itself tells meanwhile.
func mine(list []string, own, other string) []string {
	return slices.DeleteFunc(list, func(s string) bool {
		return !strings.HasPrefix(s, fromMember) && !strings.Contains(s, other) && strings.HasPrefix(s, "dl.")
	})
}

// TestEverySubjectHeard: nor does anybody hear what its role is not told: neither the
// cues of all or the drill's secrets, nor what is for another, nor everything at once.
func TestEverySubjectHeard(t *testing.T) {
	r := newRig(t, nil)
	other := newToken()
	for _, k := range crew.Kinds() {
		s := r.stranger(k)
		heard := &hears{got: map[string]bool{}}
		tries := slices.Collect(maps.Values(subjects(s.id, other)))
		for _, subject := range append(tries, ">", "dl.>", "dl.*.*", toAll+"*", toMember+"*.*", fromMember+"*.*", fromMember+"*.hold") {
			s.Subscribe(subject, heard.take)
		}
		s.Flush()
		var want []string
		for _, w := range []string{clock, welcome, answer, "own", hello, "drill", "events"} {
			want = append(want, toMember+s.id+"."+w)
		}
		for _, sight := range crew.Sights() {
			if k.Sees(sight) && sight != crew.SeesOwn {
				want = append(want, toAll+string(sight))
			}
		}
		for _, subject := range subjects(s.id, other) {
			r.conn.Publish(subject, []byte("x"))
		}
		r.conn.Publish(toAll+"own", []byte("x"))
		r.conn.Flush()
		slices.Sort(want)
		eventually(t, "all that is told has come", func() bool { return len(heard.list()) >= len(want) })
		s.Flush()
		if got := heard.list(); !slices.Equal(got, want) {
			t.Errorf("%s heard\n%s; wanted\n%s", k, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
}

// TestNotAnother: the number of another machine lets nobody in, with whatever code.
func TestNotAnother(t *testing.T) {
	r := newRig(t, nil)
	m := r.join("Ada", "safety")
	a, _ := ParseAddress(r.Invitation().Address)
	for _, word := range []string{r.Invitation().Codes[crew.Safety] + " " + newToken(), r.door.lead, ""} {
		if c, err := nats.Connect("tls://"+a.Host, nats.Secure(pinned(a.Print)), nats.TLSHandshakeFirst(), nats.UserInfo(m.id, word), nats.NoReconnect()); err == nil {
			c.Close()
			t.Errorf("%q let in as Ada's machine", word)
		}
	}
	if _, err := nats.Connect("tls://"+a.Host, nats.Secure(pinned(a.Print)), nats.TLSHandshakeFirst(), nats.UserInfo(leadName, newToken()), nats.NoReconnect()); err == nil {
		t.Error("let in as the lead")
	}
	if _, err := nats.Connect("nats://"+a.Host, nats.UserInfo(newToken(), r.Invitation().Codes[crew.Safety]+" "+newToken()), nats.NoReconnect(), nats.Timeout(time.Second)); err == nil {
		t.Error("let in without TLS")
	}
}

// TestNoHello: a machine at which nobody has said who they are calls nothing.
func TestNoHello(t *testing.T) {
	r := newRig(t, nil)
	s := r.stranger(crew.Position)
	r.run.do(show.Arm)
	r.run.do(show.Start)
	s.Publish(fromMember+s.id+".hold", []byte("{}"))
	s.Flush()
	ada := r.join("Ada", "safety") // whose hello comes behind it
	eventually(t, "Ada sees the run", func() bool { return ada.View().Came })
	if n := len(r.run.called()); n > 0 {
		t.Errorf("nobody's HOLD was taken %d times", n)
	}
}

// TestFlood: whoever sends far too much is sent away, and another's HOLD comes
// through meanwhile.
func TestFlood(t *testing.T) {
	r := newRig(t, nil)
	ada := r.join("Ada", "safety")
	s := r.stranger(crew.Position)
	s.Publish(fromMember+s.id+".hello", pack(&Hello{Version: Version, Name: "Eve", Role: "position:Quay"}))
	r.run.do(show.Arm)
	r.run.do(show.Start)
	eventually(t, "it runs", func() bool { v := ada.View(); return v.Running() })
	for i := range 20_000 {
		s.Publish(fmt.Sprint(fromMember, s.id, ".", []string{"hold", "note", "clock", "hello"}[i%4]), []byte(`{"text":"x"}`))
	}
	ada.Hold("now")
	eventually(t, "Ada's HOLD is taken", func() bool {
		return slices.ContainsFunc(r.run.called(), func(c show.Command) bool { return c.Member == "Ada" })
	})
	eventually(t, "the other is sent away", func() bool { return s.IsClosed() })
	if n := len(r.run.called()); n > 1000 {
		t.Errorf("the run was told of %d holds", n)
	}
}

// TestHoldFlood: nor does one whose every message is a HOLD; the one it called for is
// taken, and it may come back.
func TestHoldFlood(t *testing.T) {
	r := newRig(t, nil)
	s := r.stranger(crew.Position)
	s.Publish(fromMember+s.id+".hello", pack(&Hello{Version: Version, Name: "Eve", Role: "position:Quay"}))
	s.Flush()
	eventually(t, "joined", func() bool { return len(r.Board().Lines) == 1 })
	r.run.do(show.Arm)
	r.run.do(show.Start)
	for range 5000 {
		s.Publish(fromMember+s.id+".hold", []byte("{}"))
	}
	eventually(t, "it is sent away", func() bool { return s.IsClosed() })
	eventually(t, "its HOLD is taken", func() bool { return len(r.run.called()) > 0 })
	if n := len(r.run.called()); n > 20 {
		t.Errorf("the run was told of %d holds", n)
	}
}

// TestGarbage: whatever a member sends, the lead goes on.
func TestGarbage(t *testing.T) {
	r := newRig(t, nil)
	s := r.stranger(crew.Safety)
	for _, text := range []string{"", "{", "null", "[]", `{"drylane_crew":1,"name":"\u001b[2J","role":"safety"}`, `{"drylane_crew":2}`,
		`{"drylane_crew":1,"name":"Eve","role":"shooter"}`, `{"drylane_crew":1,"name":"Eve","role":"trainer"}`, strings.Repeat("x", 4000)} {
		for _, d := range append(crew.Deeds(), hello, clock) {
			if crew.Kind(crew.Safety).May(d) || d == hello || d == clock {
				s.Publish(fromMember+s.id+"."+string(d), []byte(text))
			}
		}
		s.Flush()
		time.Sleep(time.Millisecond) // or it counts as a flood, which is another test
	}
	ada := r.join("Ada", "safety")
	eventually(t, "the crew is told", func() bool { return len(ada.View().Crew) > 0 })
	for _, l := range ada.View().Crew {
		if show.Clean(l.Name) != l.Name {
			t.Errorf("a name that is not clean: %q", l.Name)
		}
	}
}

// TestHoldOnce: a HOLD that is sent again, since it was not seen to be taken, is one
// HOLD: the shooter may have resumed meanwhile. The next one is another.
func TestHoldOnce(t *testing.T) {
	r := newRig(t, nil)
	s := r.stranger(crew.Spotter)
	s.Publish(fromMember+s.id+".hello", pack(&Hello{Version: Version, Name: "Eve", Role: "spotter"}))
	s.Flush()
	eventually(t, "joined", func() bool { return len(r.Board().Lines) == 1 })
	for i, call := range []int{1, 1, 1, 2, 1, 2, 0} {
		s.Publish(fromMember+s.id+".hold", pack(&Deed{Call: call}))
		s.Flush()
		want := []int{1, 1, 1, 2, 2, 2, 3}[i]
		time.Sleep(holdGap + 2*tick)
		eventually(t, "handed on", func() bool { return len(r.run.called()) >= want })
		if n := len(r.run.called()); n > want {
			t.Errorf("after call %d the run was told of %d holds; wanted %d", call, n, want)
		}
	}
}
