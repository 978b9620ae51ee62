package field

import (
	"fmt"
	"math"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/words"
)

// An Ear counts the cues that a shift by ear was reckoned for, of those at
// positions with a known distance.
type Ear struct {
	High   int // shells and aerial salutes, heard from their breaks
	Ground int // heard from the ground: mines, cakes, candles, single shots, ground salutes
	Silent int // left out: fountains, flames and comets
	// Unknown are left out as nobody can tell where they are heard from: shells
	// of no caliber, and what cannot be classed.
	Unknown int
}

// A source is the heights, in metres, between which a position's cues are heard.
// The zero source is silent.
type source struct {
	lowest, highest float64
	heard           bool
}

// add takes in a cue heard from a height.
func (s *source) add(height float64) {
	if !s.heard {
		*s = source{height, height, true}
	}
	s.lowest, s.highest = min(s.lowest, height), max(s.highest, height)
}

// count takes in a cue, and adds what it is heard from, if anything, to at.
func (e *Ear) count(c show.Cue, at *source) {
	switch from := HeardFrom(c); from {
	case FromNowhere:
		e.Silent++
	case FromUnknown:
		e.Unknown++
	case FromBreak:
		e.High++
		at.add(from.height(c))
	case FromGround:
		e.Ground++
		at.add(from.height(c))
	}
}

// earOf listens to the cues of the positions with a known distance; it returns
// what each is heard from.
func earOf(s *show.Show) (Ear, map[string]source) {
	var e Ear
	sources := map[string]source{}
	for _, p := range s.Positions {
		if p.Distance != 0 {
			sources[p.Name] = source{}
		}
	}
	for _, c := range s.Cues {
		if at, placed := sources[c.Position]; placed {
			e.count(c, &at)
			sources[c.Position] = at
		}
	}
	return e, sources
}

// Words say for which cues the shift was reckoned.
func (e Ear) Words() string {
	text := fmt.Sprintf("reckoned for %s: %d heard from the break, %d from the ground", words.Count(e.High+e.Ground, "cue"), e.High, e.Ground)
	var out []string
	if e.Silent > 0 {
		out = append(out, fmt.Sprintf("%d silent", e.Silent))
	}
	if e.Unknown > 0 {
		out = append(out, fmt.Sprintf("%d of unknown height", e.Unknown))
	}
	if len(out) > 0 {
		text += "; left out " + strings.Join(out, " and ")
	}
	return text
}

// hear works out when a position is heard metres away, after music that comes
// late itself.
func (p *Path) hear(from source, celsius float64, music time.Duration) {
	if p.Heard = from.heard; !p.Heard {
		return
	}
	at := func(height float64) time.Duration { return Travel(slant(p.Metres, height), celsius) - music }
	p.First, p.Last = at(from.lowest), at(from.highest)
}

// AgainstMusic says how the bangs of a position come after the music: one
// figure, or the first and the last of several.
func (p Path) AgainstMusic() string {
	const step = time.Millisecond
	switch {
	case !p.Heard:
		return "silent"
	case p.First.Round(step) == p.Last.Round(step):
		return words.LateMS(p.First, "with it")
	}
	return words.LateMS(p.First, "with it") + " to " + words.LateMS(p.Last, "with it")
}

// byEar sets the middle of what is heard at the main audience, and how far any of
// it is from that.
func (s *Shift) byEar(paths []Path) {
	least, most := time.Duration(math.MaxInt64), time.Duration(math.MinInt64)
	for _, p := range paths {
		if p.Heard {
			least, most = min(least, p.First), max(most, p.Last)
		}
	}
	if least <= most {
		s.Heard, s.Spread = least+(most-least)/2, (most-least)/2
	}
}
