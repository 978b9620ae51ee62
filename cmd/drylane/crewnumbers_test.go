package main

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"drylane/testdata/reftest"
)

// listens is the script of a member that is there from the beginning to the end.
const listens = "+0 until ended\n"

// holdsScript is a run with so many holds.
func holdsScript(holds int, plays float64) string {
	var b strings.Builder
	b.WriteString("+1.5 arm\n+0.5 start\n")
	for k := range holds {
		fmt.Fprintf(&b, "+%.3f hold\n+%.3f resume anyway\n", plays+0.013*float64(k%7), 0.2+0.037*float64(k%7))
	}
	fmt.Fprintf(&b, "+%.3f cut\n", plays)
	return b.String()
}

// provesHeard plays a trial until it is as wanted, at most so often: a machine that has
// other work is judged by its best.
func provesHeard(t *testing.T, name string, seconds int, c crewTrial, wrong func(bothHeard) string) {
	t.Helper()
	reftest.RealTime(t)
	dir := t.TempDir()
	music := crewMusic(t, dir, seconds)
	for attempt := 1; ; attempt++ {
		p := c.play(t, dir)
		h := c.compare(music, &p)
		h.table(t, name)
		why := wrong(h)
		if why == "" {
			return
		}
		t.Logf("attempt %d: %s", attempt, why)
		if attempt == reftest.Tries {
			t.Error(why)
			return
		}
	}
}

// within2ms wants so many blocks, and 99 % of them within 2 ms.
func within2ms(blocks int) func(bothHeard) string {
	return func(h bothHeard) string {
		if p99 := quantile(h.apart, 0.99); len(h.apart) < blocks || len(h.apart) < h.blocks*99/100 || p99 > 2*time.Millisecond {
			return fmt.Sprintf("%d blocks of %d, within %v at p99; wanted %d and 2ms", len(h.apart), h.blocks, p99, blocks)
		}
		return ""
	}
}

// withinSaid wants so many blocks, and none further off than the member said.
func withinSaid(blocks int) func(bothHeard) string {
	return func(h bothHeard) string {
		if len(h.apart) < blocks || len(h.apart) < h.blocks*99/100 || h.beyond > len(h.apart)/100 {
			return fmt.Sprintf("%d blocks of %d, %d beyond what was said; wanted %d and 1 in 100 at most", len(h.apart), h.blocks, h.beyond, blocks)
		}
		return ""
	}
}

// TestRealTimeCrewHeard: two processes, each with a sound server of its own and the
// member's device 80 ppm fast, are recorded by one clock while they rehearse through
// twenty holds: where both sound they are within 2 ms at p99.
func TestRealTimeCrewHeard(t *testing.T) {
	provesHeard(t, "loopback, 20 holds", 25, crewTrial{lead: holdsScript(20, 0.35), member: listens, ppm: 80, reach: 30 * time.Millisecond}, within2ms(400))
}

// TestRealTimeCrewBadLink: over a link of 20 ms, 5 more or less, with stalls they are
// within what the member says of its clock.
func TestRealTimeCrewBadLink(t *testing.T) {
	provesHeard(t, "20 ms, 5 more or less, 2 % stalls", 15, crewTrial{lead: holdsScript(2, 2.5), member: listens, way: reftest.BadLink(), reach: 60 * time.Millisecond}, withinSaid(400))
}

// TestRealTimeSoakCrew is the same for as long as a soak, a quarter of a minute for each
// hold, so that what a fast device is ahead by would add up: 80 ppm are 5 ms a minute,
// and 400 are 24.
func TestRealTimeSoakCrew(t *testing.T) {
	length := reftest.Soak(t)
	holds := int(length.Seconds() / 15)
	script := holdsScript(holds, 14)
	seconds := int(length.Seconds()) + 60
	for _, ppm := range []float64{80, 400} {
		provesHeard(t, fmt.Sprintf("a device %v ppm fast", ppm), seconds, crewTrial{lead: script, member: listens, ppm: ppm, reach: 30 * time.Millisecond}, within2ms(holds*1000))
	}
	provesHeard(t, "bad link, a device 80 ppm fast", seconds, crewTrial{lead: script, member: listens, ppm: 80, way: reftest.BadLink(), reach: 60 * time.Millisecond}, withinSaid(holds*1000))
}

// TestRealTimeCrewHold: from the moment at which a member calls HOLD until nothing
// sounds any more at either machine it takes the network and 30 ms at p99.
func TestRealTimeCrewHold(t *testing.T) {
	reftest.RealTime(t)
	const holds = 10
	dir := t.TempDir()
	crewMusic(t, dir, 20)
	var lead, member strings.Builder
	lead.WriteString("+1.5 arm\n+0.5 start\n")
	for range holds {
		lead.WriteString("+0.7 resume anyway\n")
		member.WriteString("+0 until running\n+0.35 hold\n+0 until held\n+0 acknowledge\n")
	}
	lead.WriteString("+0.3 cut\n")
	member.WriteString(listens)
	for attempt := 1; ; attempt++ {
		p := crewTrial{lead: lead.String(), member: member.String()}.play(t, dir)
		var here, there []time.Duration
		for _, l := range p.log {
			if l.Kind == "did" && strings.HasPrefix(l.Text, "hold") {
				there = append(there, p.silentAfter(p.first, l.Wall))
				here = append(here, p.silentAfter(p.second, l.Wall))
			}
		}
		t.Logf("%d HOLDs of a member: silent there %v (median), %v (most); at the lead %v (median), %v (most)", len(here),
			quantile(here, 0.5), quantile(here, 1), quantile(there, 0.5), quantile(there, 1))
		most := max(quantile(here, 0.99), quantile(there, 0.99))
		if len(here) >= holds-1 && most <= 31*time.Millisecond {
			return
		}
		if attempt == reftest.Tries {
			t.Errorf("%d HOLDs, %v at p99; wanted 30ms and the network's", len(here), most)
			return
		}
	}
}

// silentAfter is how long after a moment a recording still has sound.
func (p *played) silentAfter(tape [][2]float32, at time.Time) time.Duration {
	from := int(at.Sub(p.began).Seconds() * heardRate)
	quiet := 0
	for i := max(0, from); i < len(tape); i++ {
		if tape[i][0] != 0 {
			quiet = 0
		} else if quiet++; quiet > heardRate/50 {
			return time.Duration(float64(i-quiet-from) / heardRate * 1e9)
		}
	}
	return time.Duration(len(tape)-from) * time.Second / heardRate
}
