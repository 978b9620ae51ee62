package crew

import "time"

// Guesses slow down whoever tries codes: after a few wrong ones an address has to
// wait, twice as long each time; and after many, from wherever, everybody who has not
// been let in yet. What is tried meanwhile is not even looked at.
type guesses struct {
	by    map[string]*tries
	all   int       // wrong codes of late
	since time.Time // ... since then
	until time.Time // everybody waits
}

type tries struct {
	wrong  int // in all
	looked int // ... of them: looked at
	until  time.Time
}

const (
	freeTries   = 3 // wrong codes of an address without a wait: people mistype
	firstWait   = time.Second
	longestWait = time.Minute
	mostTries   = 30 // wrong codes of all in a minute
	mostHosts   = 1000
)

// shut reports whether a code from there is not looked at now.
func (g *guesses) shut(from string, now time.Time) bool {
	t := g.by[from]
	return now.Before(g.until) || t != nil && now.Before(t.until)
}

// miss counts a wrong code, or one that was not looked at, and returns how many there
// were from that address.
func (g *guesses) miss(from string, now time.Time, looked bool) int {
	if g.by == nil || len(g.by) >= mostHosts && g.by[from] == nil {
		g.by = map[string]*tries{} // none of them is worth more than the rest of the run
	}
	t := g.by[from]
	if t == nil {
		t = &tries{}
		g.by[from] = t
	}
	t.wrong++
	if !looked {
		return t.wrong
	}
	t.looked++
	if n := t.looked - freeTries; n >= 0 {
		t.until = now.Add(min(longestWait, firstWait<<min(n, 10)))
	}
	if now.Sub(g.since) > time.Minute {
		g.all, g.since = 0, now
	}
	if g.all++; g.all > mostTries {
		g.until = now.Add(10 * time.Second)
	}
	return t.wrong
}

// hit forgets what was wrong before: it was a slip.
func (g *guesses) hit(from string) { delete(g.by, from) }
