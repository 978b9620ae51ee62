package crewpage_test

import (
	"crypto/tls"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"runtime"
	"strings"
	"testing"
	"time"

	"drylane/playback/crew"
	"drylane/playback/crewpage"
	roles "drylane/show/crew"
	"drylane/testdata/reftest"
)

// called waits for a HOLD of somebody.
func (r *rig) called(who string) {
	r.t.Helper()
	for limit := time.After(reftest.Patience); ; {
		select {
		case got := <-r.run.holds:
			if got == who {
				return
			}
		case <-limit:
			r.t.Fatalf("no HOLD of %s came", who)
		}
	}
}

// TestGuessing: wrong codes from a page's address are slowed down and shown, with where
// they came from; a page that is there does not wait for it.
func TestGuessing(t *testing.T) {
	r := newRig(t, false, false)
	ben := newPhone(t, r.page, r.code(roles.Position))
	if why := ben.as("Ben", "position:Quay"); why != "" {
		t.Fatal(why)
	}
	for range 3 {
		newPhone(t, r.page, "safety-2222-2222").join()
	}
	if why := newPhone(t, r.page, r.code(roles.Safety)).join(); why == "" {
		t.Error("a code is looked at while its address waits")
	}
	if got := ben.say("hold", crew.Deed{Call: 1}); got != 204 {
		t.Errorf("Ben waits, too: %d", got)
	}
	r.called("Ben")
	for limit := time.Now().Add(reftest.Patience); r.lead.Board().Wrong < 4 || r.lead.Board().WrongFrom != "127.0.0.1"; time.Sleep(time.Millisecond) {
		if time.Now().After(limit) {
			t.Fatalf("the board shows %+v", r.lead.Board())
		}
	}
}

// dial opens a connection to the page's server by hand.
func (r *rig) dial() (net.Conn, error) {
	host := strings.Trim(strings.TrimPrefix(r.page, "https:"), "/")
	return tls.Dial("tcp", host, &tls.Config{InsecureSkipVerify: true})
}

// TestCrowd: no address takes all the connections there are, and those that are let in are
// not many at once; who is there already goes on.
func TestCrowd(t *testing.T) {
	r := newRig(t, false, false)
	ben := newPhone(t, r.page, r.code(roles.Position))
	if why := ben.as("Ben", "position:Quay"); why != "" {
		t.Fatal(why)
	}
	open := 0
	for range 300 {
		if c, err := r.dial(); err == nil {
			t.Cleanup(func() { c.Close() })
			open++
		}
	}
	if open < 20 || open > 200 {
		t.Errorf("%d of 300 connections were let in", open)
	}
	if got := ben.say("hold", crew.Deed{Call: 1}); got != 204 {
		t.Errorf("Ben's HOLD: %d", got)
	}
	r.called("Ben")
}

// TestAnotherAddress: who asks for pages and guesses codes from one address as fast as it
// goes takes nothing from another.
func TestAnotherAddress(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("this machine has one address of its own alone")
	}
	r := newRig(t, false, false)
	stop, done := make(chan struct{}), make(chan int)
	for range 8 {
		go func() {
			eve, refused := clientFrom(t, "127.0.0.2"), 0
			for {
				select {
				case <-stop:
					done <- refused
					return
				default:
				}
				guess := newPhone(t, r.page, "position-2222-2222").Join
				if reply := post(t, eve, r.page+"join", guess, nil); reply == nil || reply.StatusCode == http.StatusTooManyRequests {
					refused++
				}
			}
		}()
	}
	for i := range 5 {
		ben := newPhone(t, r.page, r.code(roles.Position))
		if why := ben.as(fmt.Sprint("Ben ", i), "position:Quay"); why != "" {
			t.Errorf("Ben %d: %s", i, why)
		}
		ben.say("hold", crew.Deed{Call: 1})
		r.called(fmt.Sprint("Ben ", i))
	}
	close(stop)
	refused := 0
	for range 8 {
		refused += <-done
	}
	if refused == 0 {
		t.Error("the other address was refused nothing")
	}
}

// TestFlood: a page that sends far too much is refused, and another's HOLD comes through
// meanwhile.
func TestFlood(t *testing.T) {
	r := newRig(t, false, false)
	ben, eve := newPhone(t, r.page, r.code(roles.Position)), newPhone(t, r.page, r.code(roles.Listener))
	for name, p := range map[string]*phone{"Ben:position:Quay": ben, "Eve:listener": eve} {
		who, role, _ := strings.Cut(name, ":")
		if why := p.as(who, role); why != "" {
			t.Fatal(why)
		}
	}
	refused, stop, done := make(chan struct{}), make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		for n := 0; ; {
			select {
			case <-stop:
				return
			default:
			}
			if got := eve.say("note", crew.Deed{Text: "x"}); got != 204 {
				if n++; n == 1 {
					close(refused)
				}
			}
		}
	}()
	<-refused
	began := time.Now()
	ben.say("hold", crew.Deed{Call: 1})
	r.called("Ben")
	t.Logf("a HOLD through a flood took %v", time.Since(began))
	close(stop)
	<-done
}

// TestNobodyReads: a page that reads nothing keeps nobody waiting.
func TestNobodyReads(t *testing.T) {
	r := newRig(t, false, false)
	for i := range 5 {
		c, err := r.dial()
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { c.Close() })
		body, _ := json.Marshal(newPhone(t, r.page, r.code(roles.Spotter)).Join)
		fmt.Fprintf(c, "POST /join HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n%s", len(body), body)
		if i == 4 { // and one that says nothing
			fmt.Fprintf(c, "POST /say HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 4000\r\n\r\n{")
		}
	}
	ben := newPhone(t, r.page, r.code(roles.Position))
	if why := ben.as("Ben", "position:Quay"); why != "" {
		t.Fatal(why)
	}
	for i := range 5 {
		ben.say("hold", crew.Deed{Call: i + 1})
		r.called("Ben")
		ben.await("state")
	}
}

// FuzzRequests: whatever a page sends, it is answered and the lead goes on.
func FuzzRequests(f *testing.F) {
	r := newRig(f, false, true)
	ben := newPhone(f, r.page, r.code(roles.Position))
	if why := ben.as("Ben", "position:Quay"); why != "" {
		f.Fatal(why)
	}
	for _, what := range []string{"hello", "clock", "hold", "seen", "note", "rename", "resume"} {
		data, _ := json.Marshal(crewpage.Words{ID: ben.ID, Secret: ben.Secret, What: what, Data: json.RawMessage(`{"text":"x","call":9}`)})
		f.Add("say", string(data))
	}
	join, _ := json.Marshal(newPhone(f, r.page, "position-2222-2222").Join)
	f.Add("join", string(join))
	f.Add("join", `{"drylane_page":1,"id":"\u0000","secret":[],"code":{}}`)
	c := newClient(f)
	f.Fuzz(func(t *testing.T, path, body string) {
		if path != "join" {
			path = "say"
		}
		reply := post(t, c, r.page+path, body, nil)
		if reply == nil {
			t.Fatalf("no reply to %q", body)
		}
		defer reply.Body.Close()
		switch reply.StatusCode {
		case 204:
		case 200: // it knows the code, or it made up one
			t.Errorf("let in by %q", body)
		case 400, 403, 409, 429:
			data, _ := io.ReadAll(reply.Body)
			var why struct{ Refused string }
			if json.Unmarshal(data, &why) != nil || why.Refused == "" {
				t.Errorf("%q was answered with %q", body, data)
			}
		default:
			t.Errorf("%q was answered with %d", body, reply.StatusCode)
		}
	})
}
