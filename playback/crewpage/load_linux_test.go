package crewpage_test

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"

	"drylane/playback/crew"
	"drylane/playback/sessions"
	"drylane/show"
	roles "drylane/show/crew"
	"drylane/show/session"
	"drylane/testdata/reftest"
)

// asCrew names the environment variable with the invitation that TestAsCrew follows.
const asCrew = "DRYLANE_TEST_AS_CREW"

// Those who take part in TestRealTimePages.
const (
	manyMembers = 50
	manyPages   = 20
)

// TestRealTimePages: fifty members and twenty pages on one lead, from another process,
// while the music plays on a sound server. It prints what they cost the lead's, and the
// device never runs dry for it.
func TestRealTimePages(t *testing.T) {
	reftest.RealTime(t)
	for try := 1; ; try++ {
		dry := -1
		t.Run(fmt.Sprint(try), func(t *testing.T) { dry = playToMany(t) })
		switch {
		case dry == 0 || t.Failed():
			return
		case try == reftest.Tries:
			t.Fatalf("the device ran dry %d times", dry)
		}
	}
}

// playToMany plays to all of them once, and returns how often the device ran dry.
func playToMany(t *testing.T) (dry int) {
	server := reftest.StartPulse(t, 48000)
	t.Setenv("PULSE_SERVER", server.Server)
	r := runLed(t, "device", show.LostGoesOn)
	r.do(show.Arm, show.Armed)
	r.do(show.Start, show.Running)
	alone := r.cores(3 * time.Second)
	leave := r.bringCrew(manyMembers, 0)
	members := r.cores(3 * time.Second)
	leave()
	leave = r.bringCrew(manyMembers, manyPages)
	all := r.cores(3 * time.Second)
	lost := 0
	for _, l := range r.lead.Board().Lines {
		if l.Lost > 0 {
			lost++
		}
	}
	r.do(show.Cut, show.Safe)
	leave()
	log, err := sessions.Read(r.Log.Name())
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range log.Entries {
		if e.Kind == session.KindUnderrun {
			dry++
		}
	}
	t.Logf("of a core: %.1f %% alone, %.1f %% with %d members, %.1f %% with %d pages besides; %d lost at the end; ran dry %d times",
		100*alone, 100*members, manyMembers, 100*all, manyPages, lost, dry)
	return dry
}

// cores is how much of a core this process uses, over a while.
func (r *led) cores(over time.Duration) float64 {
	used := func() time.Duration {
		var u syscall.Rusage
		if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
			r.t.Fatal(err)
		}
		return time.Duration(u.Utime.Nano() + u.Stime.Nano())
	}
	was, began := used(), time.Now()
	time.Sleep(over)
	return float64(used()-was) / float64(time.Since(began))
}

// bringCrew has members and pages join from another process, until they are told to leave.
func (r *led) bringCrew(members, pages int) (leave func()) {
	r.t.Helper()
	cmd := exec.Command(os.Args[0], "-test.run=^TestAsCrew$", "-test.v")
	cmd.Env = append(os.Environ(), asCrew+"="+string(r.lead.Invitation().JSON()), fmt.Sprintf("DRYLANE_TEST_CREW=%d %d", members, pages))
	in, err := cmd.StdinPipe()
	if err != nil {
		r.t.Fatal(err)
	}
	var said strings.Builder
	cmd.Stdout, cmd.Stderr = &said, &said
	if err := cmd.Start(); err != nil {
		r.t.Fatal(err)
	}
	there := func() (n int) {
		for _, l := range r.lead.Board().Lines {
			if l.Lost == 0 && l.Bound > 0 {
				n++
			}
		}
		return n
	}
	r.eventually("all have joined", func() bool { return there() >= members+pages })
	return func() {
		in.Close()
		if err := cmd.Wait(); err != nil {
			r.t.Errorf("the crew: %v: %s", err, &said)
		}
		r.eventually("all have left", func() bool { return there() == 0 })
	}
}

// TestAsCrew is the other process of TestRealTimePages.
func TestAsCrew(t *testing.T) {
	if os.Getenv(asCrew) == "" {
		t.Skip("not as a crew")
	}
	i, err := crew.ReadInvitation(strings.NewReader(os.Getenv(asCrew)))
	if err != nil {
		t.Fatal(err)
	}
	var members, pages int
	if _, err := fmt.Sscan(os.Getenv("DRYLANE_TEST_CREW"), &members, &pages); err != nil {
		t.Fatal(err)
	}
	address, err := crew.ParseAddress(i.Address)
	if err != nil {
		t.Fatal(err)
	}
	for n := range members {
		role := []roles.Role{{Kind: roles.Position, Position: "Quay"}, {Kind: roles.Spotter}, {Kind: roles.Listener}}[n%3]
		m, err := crew.Dial(t.Context(), crew.Join{Address: address, Code: i.Codes[role.Kind], Name: fmt.Sprint("M", n), Role: role})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(m.Close)
	}
	for n := range pages {
		p := newPhone(t, i.Page, i.Codes[roles.Position])
		if why := p.as(fmt.Sprint("P", n), "position:Quay"); why != "" {
			t.Fatal(why)
		}
		go p.live()
	}
	io.Copy(io.Discard, os.Stdin)
}

// live does what a page does all the time, which is to ask for the lead's clock.
func (p *phone) live() {
	began := time.Now()
	for t := time.NewTicker(250 * time.Millisecond); ; <-t.C {
		if p.say("clock", crew.Ask{Sent: time.Since(began), Bound: time.Millisecond}) == 0 {
			return
		}
		for len(p.lines) > 0 {
			<-p.lines
		}
	}
}
