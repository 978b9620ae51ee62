package crewpage_test

import (
	"bufio"
	"bytes"
	"crypto/rand"
	"crypto/tls"
	"encoding/base32"
	"encoding/json"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"drylane/playback/crew"
	"drylane/playback/crewpage"
	"drylane/playback/deck"
	"drylane/show"
	roles "drylane/show/crew"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/testdata/reftest"
)

// A stillRun is a run that stands still: it is armed, and takes HOLDs.
type stillRun struct {
	snap  *deck.Snapshot
	holds chan string // who called
}

func (s *stillRun) Snapshot() *deck.Snapshot { return s.snap }
func (s *stillRun) CallHold(_ show.By, member, _ string, _ show.Cause, _ time.Time) {
	select {
	case s.holds <- member:
	default:
	}
}
func (s *stillRun) LogCrew(session.Data)              {}
func (s *stillRun) Commanded(int) bool                { return false }
func (s *stillRun) Instruct(drill.Step, session.Data) {}

// A rig is a lead of a run that stands still, and its page.
type rig struct {
	t    testing.TB
	lead *crew.Lead
	run  *stillRun
	page string // where it is served
}

func newRig(t testing.TB, once, plain bool) *rig {
	t.Helper()
	cues := []show.Cue{{ID: "1", Position: "Quay", EffectAt: time.Minute}, {ID: "2", Position: "Mole", EffectAt: time.Minute}}
	plan := show.NewPlan(cues, show.Console{Guard: show.DefaultGuard, NudgeLimit: show.DefaultNudgeLimit, Together: show.DefaultTogether}, 1000, 100_000)
	run := &stillRun{&deck.Snapshot{Transport: *show.NewTransport(plan), Wall: time.Now(), Since: time.Now(), Speed: 1}, make(chan string, 1000)}
	lead, err := crew.Open(crew.Config{Program: "drylane test", Title: "Harbour Evening", Plan: plan, Cues: cues, Lost: show.LostGoesOn, Run: run, Gate: new(crew.Gate), Listen: "127.0.0.1:0", Once: once})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(lead.Close)
	if _, err := crewpage.Open(crewpage.Config{Lead: lead, Title: "Harbour Evening", Listen: "127.0.0.1:0", Plain: plain}); err != nil {
		t.Fatal(err)
	}
	return &rig{t, lead, run, lead.Invitation().Page}
}

func (r *rig) code(k roles.Kind) string { return r.lead.Invitation().Codes[k] }

// newClient returns a client of its own, which takes any certificate.
func newClient(t testing.TB) *http.Client { return clientFrom(t, "127.0.0.1") }

// clientFrom is one that comes from an address of this machine.
func clientFrom(t testing.TB, host string) *http.Client {
	d := net.Dialer{LocalAddr: &net.TCPAddr{IP: net.ParseIP(host)}}
	tr := &http.Transport{DialContext: d.DialContext, TLSClientConfig: &tls.Config{InsecureSkipVerify: true}, MaxIdleConnsPerHost: 2}
	t.Cleanup(tr.CloseIdleConnections)
	return &http.Client{Transport: tr}
}

// post asks for something as a page does, or nearly: head changes the request.
func post(t testing.TB, c *http.Client, url string, body any, head func(*http.Request)) *http.Response {
	t.Helper()
	data, ok := body.(string)
	if !ok {
		b, err := json.Marshal(body)
		if err != nil {
			t.Fatal(err)
		}
		data = string(b)
	}
	req, err := http.NewRequestWithContext(t.Context(), http.MethodPost, url, strings.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Content-Type", "application/json")
	if head != nil {
		head(req)
	}
	reply, err := c.Do(req)
	if err != nil {
		return nil // the server would not even read it
	}
	t.Cleanup(func() { reply.Body.Close() })
	return reply
}

// refused is why not, of a reply.
func refused(reply *http.Response) string {
	var r struct{ Refused string }
	data, _ := io.ReadAll(reply.Body)
	if json.Unmarshal(data, &r) != nil {
		return string(data)
	}
	return r.Refused
}

// A phone is a page without a browser.
type phone struct {
	crewpage.Join
	t      testing.TB
	client *http.Client
	page   string
	lines  chan map[string]json.RawMessage
}

func newPhone(t testing.TB, page, code string) *phone {
	token := func() string {
		b := make([]byte, 17)
		rand.Read(b)
		return base32.NewEncoding("0123456789ABCDEFGHJKMNPQRSTVWXYZ").EncodeToString(b)[:26]
	}
	return &phone{crewpage.Join{Page: crew.Version, ID: token(), Secret: token(), Code: code}, t, newClient(t), page, make(chan map[string]json.RawMessage, 1000)}
}

// join opens the link, and returns why not.
func (p *phone) join() string {
	p.t.Helper()
	reply := post(p.t, p.client, p.page+"join", p.Join, nil)
	if reply == nil {
		return "no reply"
	}
	if reply.StatusCode != http.StatusOK {
		return refused(reply)
	}
	go func() {
		defer close(p.lines)
		lines := bufio.NewScanner(reply.Body)
		for lines.Scan() {
			var line map[string]json.RawMessage
			if json.Unmarshal(bytes.TrimSpace(lines.Bytes()), &line) != nil {
				return
			}
			select {
			case p.lines <- line:
			default:
			}
		}
	}()
	p.await("you")
	return ""
}

// await waits for something to be told; nil where the link has ended before.
func (p *phone) await(what string) json.RawMessage {
	p.t.Helper()
	for limit := time.After(reftest.Patience); ; {
		select {
		case line, ok := <-p.lines:
			if !ok {
				return nil
			}
			if said, ok := line[what]; ok {
				return said
			}
		case <-limit:
			p.t.Fatalf("never told: %s", what)
		}
	}
}

// say says something, and returns the status of the reply; 0 for none.
func (p *phone) say(what string, data any) int {
	d, _ := json.Marshal(data)
	reply := post(p.t, p.client, p.page+"say", crewpage.Words{ID: p.ID, Secret: p.Secret, What: what, Data: d}, nil)
	if reply == nil {
		return 0
	}
	io.Copy(io.Discard, reply.Body)
	reply.Body.Close()
	return reply.StatusCode
}

// as joins with a name and a role, and returns why not.
func (p *phone) as(name, role string) string {
	p.t.Helper()
	if why := p.join(); why != "" {
		return why
	}
	p.say("hello", crew.Hello{Version: crew.Version, Name: name, Role: role})
	var w crew.Welcome
	json.Unmarshal(p.await("welcome"), &w)
	return w.Refused
}
