package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"drylane/playback/crew"
	"drylane/playback/earpiece"
	"drylane/playback/sessions"
	"drylane/playback/sink"
	"drylane/show"
	roles "drylane/show/crew"
	"drylane/show/session"
	"drylane/testdata/reftest"
)

// A crewLead is a lead in a process of its own, with many cues.
type crewLead struct {
	cmd    *exec.Cmd
	said   *strings.Builder
	invite crew.Invitation
	host   string
	dir    string // of the show
	log    string
}

// startLead starts one that plays for so many seconds; a sound server is its own or none.
func startLead(t *testing.T, server, out string, seconds int) *crewLead {
	t.Helper()
	dir, files := t.TempDir(), t.TempDir()
	crewMusic(t, dir, seconds+5)
	var cues strings.Builder
	cues.WriteString("cue,effect_at,prefire,position,effect,burn\n")
	for i := range seconds * 5 {
		fmt.Fprintf(&cues, "%d,%.3f,0,%s,candle shot,0.2\n", i+1, 1+float64(i)/5, []string{"Quay", "Mole"}[i%2])
	}
	script := filepath.Join(files, "lead.txt")
	for path, text := range map[string]string{filepath.Join(dir, "cues.csv"): cues.String(), script: fmt.Sprintf("+2 arm\n+0.2 start\n+%d cut\n", seconds)} {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	l := &crewLead{dir: dir, log: filepath.Join(files, "lead.jsonl")}
	invitation := filepath.Join(files, "crew.json")
	l.cmd, l.said = crewProcess(t, server, "rehearse", dir, "--crew", "--crew-at", "127.0.0.1:0", "--crew-file", invitation, "--out", out, "--auto", script, "--log", l.log)
	l.invite = invited(t, invitation)
	a, err := crew.ParseAddress(l.invite.Address)
	if err != nil {
		t.Fatal(err)
	}
	l.host = a.Host
	return l
}

// join joins from this process; by an address other than the lead's through a proxy.
func (l *crewLead) join(t *testing.T, host, name, role string) *crew.Member {
	t.Helper()
	a, err := crew.ParseAddress(l.invite.Address)
	if err != nil {
		t.Fatal(err)
	}
	a.Host = host
	r, err := roles.ParseRole(role)
	if err != nil {
		t.Fatal(err)
	}
	m, err := crew.Dial(t.Context(), crew.Join{Address: a, Code: l.invite.Codes[r.Kind], Name: name, Role: r})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(m.Close)
	return m
}

// ended waits for the lead's end and reads its log, which replays.
func (l *crewLead) ended(t *testing.T) *session.Log {
	t.Helper()
	if err := l.cmd.Wait(); err != nil {
		t.Fatalf("%v: %s", err, l.said)
	}
	log, err := sessions.Read(l.log)
	if err != nil {
		t.Fatal(err)
	}
	if n, err := session.Replay(log); err != nil {
		t.Errorf("replay: %d events agreed, then %v", n, err)
	}
	return log
}

// cpu is how long a process has worked so far, by /proc.
func cpu(t *testing.T, pid int) time.Duration {
	t.Helper()
	data, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		t.Fatal(err)
	}
	fields := strings.Fields(string(data[bytes.LastIndexByte(data, ')')+1:]))
	user, _ := strconv.Atoi(fields[11]) // utime, the 14th of all
	system, _ := strconv.Atoi(fields[12])
	return time.Duration(user+system) * 10 * time.Millisecond
}

// TestRealTimeCrewFifty: fifty members cost the lead less than a tenth of a core, and its
// sound never runs dry more often than without them.
func TestRealTimeCrewFifty(t *testing.T) {
	reftest.RealTime(t)
	p := reftest.StartPulse(t, heardRate)
	for attempt := 1; ; attempt++ {
		alone, fifty := crowdCost(t, p.Server)
		t.Logf("alone %.1f %% of a core, ran dry %d times; with 50 members %.1f %%, %d times", 100*alone.core, alone.dry, 100*fifty.core, fifty.dry)
		if fifty.core-alone.core < 0.1 && fifty.dry <= alone.dry {
			return
		}
		if attempt == reftest.Tries {
			t.Errorf("50 members cost %.1f %% of a core; wanted 10, and no sound that runs dry", 100*(fifty.core-alone.core))
			return
		}
	}
}

// A leadCost is what a lead does in a stretch of time: its share of a core, and how
// often its sound ran dry.
type leadCost struct {
	core float64
	dry  int
}

// crowdCost is what a lead costs that plays alone, and then with fifty members.
func crowdCost(t *testing.T, server string) (alone, fifty leadCost) {
	t.Helper()
	const stretch = 3 * time.Second
	l := startLead(t, server, "device", 9)
	first := l.join(t, l.host, "M0", "listener")
	for !running(first) {
		time.Sleep(5 * time.Millisecond)
	}
	core := func() float64 {
		before, began := cpu(t, l.cmd.Process.Pid), time.Now()
		time.Sleep(stretch)
		return (cpu(t, l.cmd.Process.Pid) - before).Seconds() / time.Since(began).Seconds()
	}
	first.Close()
	alone.core = core()
	crowded := time.Now()
	for i := range 50 {
		l.join(t, l.host, fmt.Sprint("N", i), []string{"position:Quay", "position:Mole", "listener", "spotter", "safety"}[i%5])
	}
	fifty.core = core()
	for _, e := range l.ended(t).Entries {
		switch {
		case e.Kind != session.KindUnderrun:
		case e.Wall.Before(crowded):
			alone.dry++
		default:
			fifty.dry++
		}
	}
	return alone, fifty
}

func running(m *crew.Member) bool {
	v := m.View()
	return v.Running()
}

// TestRealTimeCrewLost: members whose way is cut at random fall silent each time and
// come back without a key; at the lead no cue is lost or doubled. In a soak it is as
// long as that.
func TestRealTimeCrewLost(t *testing.T) {
	reftest.RealTime(t)
	seconds := 8
	if os.Getenv(reftest.SoakEnv) != "" {
		seconds = int(reftest.Soak(t).Seconds())
	}
	l := startLead(t, "unix:/nowhere", "silent", seconds)
	var wg sync.WaitGroup
	var cuts, back atomic.Int64
	var ears []*earpiece.Earpiece
	over := make(chan struct{})
	for i := range 8 {
		proxy := reftest.NewProxy(t, l.host, func() time.Duration { return 0 })
		c := &cutMember{Member: l.join(t, proxy.Addr().String(), fmt.Sprint("L", i), "listener"), proxy: proxy, rng: rand.New(rand.NewPCG(uint64(i), 18))}
		c.ear = silentEar(t, l.dir, c.Member)
		ears = append(ears, c.ear)
		wg.Go(func() {
			for !isOver(over) {
				cuts.Add(1)
				if c.cutOff(t); c.comesBack(over) {
					back.Add(1)
				}
			}
		})
	}
	log := l.ended(t)
	close(over)
	wg.Wait()
	time.Sleep(1200 * time.Millisecond)
	for i, ear := range ears {
		if ear.Status().Plays {
			t.Errorf("%d plays on after the lead has gone", i)
		}
	}
	fired := map[string]int{}
	for _, e := range log.Entries {
		if e.Kind == show.EventFired.String() {
			fired[e.Data.Cue]++
		}
	}
	for i := range seconds*5 - 10 {
		if n := fired[fmt.Sprint(i+1)]; n != 1 {
			t.Errorf("cue %d was commanded %d times", i+1, n)
		}
	}
	t.Logf("%d members were cut off %d times and came back playing %d times; %d cues, each once", len(ears), cuts.Load(), back.Load(), len(fired))
	if cuts.Load() < int64(2*len(ears)) || back.Load() < cuts.Load()*3/4 {
		t.Errorf("%d cuts, %d times back", cuts.Load(), back.Load())
	}
}

// isOver reports whether a channel has been closed.
func isOver(over <-chan struct{}) bool {
	select {
	case <-over:
		return true
	default:
		return false
	}
}

// A cutMember is a member whose way is cut now and then.
type cutMember struct {
	*crew.Member
	ear   *earpiece.Earpiece
	proxy *reftest.Proxy
	rng   *rand.Rand
}

// cutOff cuts its way for up to two seconds. After more than one it is silent.
func (c *cutMember) cutOff(t *testing.T) {
	time.Sleep(time.Duration(c.rng.IntN(300)) * time.Millisecond)
	c.proxy.Sever(true)
	stays := time.Duration(c.rng.IntN(1800)) * time.Millisecond
	time.Sleep(stays)
	if v, s := c.View(), c.ear.Status(); stays > 1100*time.Millisecond && (!v.Lost || s.Plays) {
		t.Errorf("after %v without the lead: lost %v, plays %v", stays, v.Lost, s.Plays)
	}
	c.proxy.Sever(false)
}

// comesBack waits until it is there again and plays.
func (c *cutMember) comesBack(over <-chan struct{}) bool {
	for until := time.Now().Add(5 * time.Second); time.Now().Before(until) && !isOver(over); time.Sleep(5 * time.Millisecond) {
		if v := c.View(); v.Running() && v.Silent < 200*time.Millisecond && c.ear.Status().Plays {
			return true
		}
	}
	return false
}

// silentEar plays the music of a show along, in silence.
func silentEar(t *testing.T, dir string, m *crew.Member) *earpiece.Earpiece {
	t.Helper()
	s, err := earpiece.Open(t.Context(), dir, earpiece.Music, roles.Role{Kind: roles.Listener}, m.View().Welcome.Copy)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	out, err := sink.Place{Where: "silent", Speed: "1"}.Sink(s.Rate, 100*time.Millisecond)
	if err != nil {
		t.Fatal(err)
	}
	device, err := out.Open()
	if err != nil {
		t.Fatal(err)
	}
	e := earpiece.Start(earpiece.Setup{Link: m, Name: s.Name, Stream: s.Stream, Rate: s.Rate, Output: device, Open: out.Open})
	t.Cleanup(e.Close)
	return e
}
