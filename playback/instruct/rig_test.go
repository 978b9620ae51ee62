package instruct

import (
	"bufio"
	"encoding/json"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/testdata/reftest"
)

const rate = 1000

// testCues are six cues, one every second from 2 s on, by turns at the Quay and
// on the Mole; they burn for 1.5 s.
func testCues() []show.Cue {
	var cues []show.Cue
	for i := range 6 {
		cues = append(cues, show.Cue{ID: fmt.Sprint(i + 1), EffectAt: time.Duration(i+2) * time.Second,
			Prefire: 500 * time.Millisecond, Burn: 1500 * time.Millisecond,
			Position: []string{"Quay", "Mole"}[i%2], Module: "M1", Effect: "red peony", Family: show.FamilyOf("red peony")})
	}
	return cues
}

func testPlan(cues []show.Cue) *show.Plan {
	return show.NewPlan(cues, show.Console{Guard: show.DefaultGuard, NudgeLimit: show.DefaultNudgeLimit, Together: show.DefaultTogether}, rate, 10*rate)
}

var epoch = time.Date(2026, 11, 25, 21, 0, 0, 0, time.UTC)

// A rig is a server on a run that stands still, and what was asked of the run.
type rig struct {
	*Server
	t    *testing.T
	log  *Log
	snap atomic.Pointer[deck.Snapshot]
	did  chan drill.Step
	left chan struct{}
}

// newRig serves a run; change alters the server's configuration first.
func newRig(t *testing.T, change func(*Config)) *rig {
	t.Helper()
	r := &rig{t: t, log: new(Log), did: make(chan drill.Step, 100), left: make(chan struct{}, 100)}
	cues := testCues()
	plan := testPlan(cues)
	r.snap.Store(&deck.Snapshot{Transport: *show.NewTransport(plan), Wall: epoch, Since: epoch.Add(-3 * time.Second), Speed: 1})
	cfg := Config{Path: filepath.Join(privateFolder(t), "a.sock"), Program: "drylane test", Show: "Harbour Evening", Drill: "One thing",
		Plan: plan, Cues: cues, Snapshot: r.snap.Load, Act: func(s drill.Step) { r.did <- s }, Log: r.log,
		Now: func() time.Time { return epoch }, left: func() { r.left <- struct{}{} }}
	if change != nil {
		change(&cfg)
	}
	var err error
	if r.Server, err = Serve(t.Context(), cfg); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(r.Close)
	return r
}

// privateFolder is a folder of the test's that nobody else can enter.
func privateFolder(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "s")
	if err := os.Mkdir(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	return dir
}

func (r *rig) dial() *Client {
	r.t.Helper()
	c, err := Dial(r.t.Context(), r.Path())
	if err != nil {
		r.t.Fatal(err)
	}
	r.t.Cleanup(c.Close)
	return c
}

// wait waits until the client's view is as wanted, and returns it.
func wait(t *testing.T, c *Client, what string, ok func(View) bool) View {
	t.Helper()
	limit := time.After(reftest.Patience)
	for {
		if v := c.View(); ok(v) {
			return v
		}
		select {
		case <-c.changed:
		case <-limit:
			t.Fatalf("never came: %s; the view is %+v", what, c.View())
		}
	}
}

// receive waits for something on a channel.
func receive[T any](t *testing.T, what string, c <-chan T) T {
	t.Helper()
	select {
	case v := <-c:
		return v
	case <-time.After(reftest.Patience):
		t.Fatalf("never came: %s", what)
		panic("unreachable")
	}
}

// A rawConn speaks the protocol by hand.
type rawConn struct {
	*net.UnixConn
	t     *testing.T
	lines *bufio.Scanner
}

func (r *rig) raw() *rawConn {
	r.t.Helper()
	c, err := net.DialUnix("unix", nil, &net.UnixAddr{Name: r.Path(), Net: "unix"})
	if err != nil {
		r.t.Fatal(err)
	}
	r.t.Cleanup(func() { c.Close() })
	c.SetReadDeadline(time.Now().Add(reftest.Patience))
	s := bufio.NewScanner(c)
	s.Buffer(nil, MaxLine)
	return &rawConn{c, r.t, s}
}

// until reads messages up to one that is as wanted; it fails at the end.
func (c *rawConn) until(what string, ok func(Message) bool) Message {
	c.t.Helper()
	for c.lines.Scan() {
		var m Message
		if err := json.Unmarshal(c.lines.Bytes(), &m); err != nil {
			c.t.Fatalf("%v: %s", err, c.lines.Bytes())
		}
		if ok(m) {
			return m
		}
	}
	c.t.Fatalf("never came: %s (%v)", what, c.lines.Err())
	panic("unreachable")
}

func refusal(m Message) bool { return m.Refused != "" }

func note(i int) session.Entry {
	return session.Entry{N: int64(i), Kind: session.KindNote, State: "running", Data: session.Data{Text: fmt.Sprint("note ", i)}}
}

// isClean reports whether a text may go to a terminal as it is.
func isClean(s string) bool { return show.Clean(s) == s && !strings.ContainsAny(s, "\x1b\n\r") }
