package show

import (
	"fmt"

	"drylane/show/timebase"
)

// cueChecks hold each cue against those read before it and against what
// show.toml lists.
type cueChecks struct {
	lines     map[string]int    // the line of each cue id
	pins      map[modulePin]int // the line of the cue on each pin
	places    map[string]Cue    // the first cue of each module
	positions []string          // in the order listed, or else met
	modules   []string          // likewise
	byName    map[string]Module // the modules that show.toml lists
	// When show.toml lists none, the cue list is free to name them.
	anyPosition, anyModule bool
	known                  map[string]bool // names in positions
}

type modulePin struct {
	module string
	pin    int
}

func newCueChecks(s *Show) cueChecks {
	c := cueChecks{
		lines:       map[string]int{},
		pins:        map[modulePin]int{},
		places:      map[string]Cue{},
		byName:      map[string]Module{},
		known:       map[string]bool{},
		anyPosition: len(s.Positions) == 0,
		anyModule:   len(s.Modules) == 0,
	}
	for _, p := range s.Positions {
		c.positions = append(c.positions, p.Name)
		c.known[p.Name] = true
	}
	for _, m := range s.Modules {
		c.modules = append(c.modules, m.Name)
		c.byName[m.Name] = m
	}
	return c
}

// count notes, once, that there are more names in a column than a show may have.
func (c *cueChecks) count(w row, names []string, col int) {
	if len(names) == maxGroups {
		w.note(w.at(col), CodeCount, fmt.Sprintf("more than %d %ss", maxGroups, columns[col]), "fewer: this may be the wrong column")
	}
}

// row checks cue, which was read from w. timed says that its times are good.
func (c *cueChecks) row(w row, cue Cue, timed bool) {
	if cue.ID != "" {
		if line, taken := c.lines[cue.ID]; taken {
			w.bad(colCue, CodeDuplicate, fmt.Sprintf("%s (already on line %d)", Quote(cue.ID), line), "an id of its own")
		} else {
			c.lines[cue.ID] = cue.Line
		}
	}
	if timed && cue.IgniteAt() < 0 {
		w.note(w.at(colPrefire), CodeEarly,
			fmt.Sprintf("the ignition of cue %s at %s", Quote(cue.ID), timebase.ClockMillis(cue.IgniteAt())),
			"it not before the music starts: a later effect_at or a shorter prefire")
	}
	c.position(w, cue)
	switch {
	case cue.Module != "":
		c.module(w, cue)
	case cue.Pin != 0:
		w.note(w.at(colPin), CodePin, fmt.Sprintf("pin %d and no module", cue.Pin), "the module that the pin is on")
	}
}

func (c *cueChecks) position(w row, cue Cue) {
	switch {
	case cue.Position == "" || c.known[cue.Position]:
	case c.anyPosition:
		c.count(w, c.positions, colPosition)
		c.known[cue.Position] = true
		c.positions = append(c.positions, cue.Position)
	default:
		w.bad(colPosition, CodeUnknown, Quote(cue.Position),
			"a position that show.toml lists"+DidYouMean(cue.Position, c.positions))
	}
}

func (c *cueChecks) module(w row, cue Cue) {
	m, listed := c.byName[cue.Module]
	first, met := c.places[cue.Module]
	// A position that is misspelt on one line is no fault of the lines that have it
	// right: it neither settles where the module stands nor goes against it.
	astray := !c.known[cue.Position]
	if !met || first.Position == "" && !astray {
		first = cue
		if astray {
			first.Position = ""
		}
		c.places[cue.Module] = first
	}
	if !met && c.anyModule {
		c.count(w, c.modules, colModule)
		c.modules = append(c.modules, cue.Module)
	}
	if !listed && !c.anyModule {
		w.bad(colModule, CodeUnknown, Quote(cue.Module),
			"a module that show.toml lists"+DidYouMean(cue.Module, c.modules))
	}
	if !astray && first.Position != cue.Position {
		w.note(w.at(colModule), CodeModule,
			fmt.Sprintf("module %s at position %s, which stands at %s on line %d",
				Quote(cue.Module), Quote(cue.Position), Quote(first.Position), first.Line),
			"each module at one position")
	}
	if cue.Pin != 0 {
		c.pin(w, cue, m.Pins)
	}
}

// pin checks a pin of a module that has count of them, 0 when nobody said.
func (c *cueChecks) pin(w row, cue Cue, count int) {
	if count > 0 && cue.Pin > count {
		w.note(w.at(colPin), CodePin, fmt.Sprintf("pin %d of module %s", cue.Pin, Quote(cue.Module)),
			fmt.Sprintf("one of its %d pins", count))
	}
	key := modulePin{cue.Module, cue.Pin}
	line, taken := c.pins[key]
	if !taken {
		c.pins[key] = cue.Line
		return
	}
	w.note(w.at(colPin), CodePin,
		fmt.Sprintf("pin %d of module %s, which the cue on line %d has", cue.Pin, Quote(cue.Module), line),
		"one cue on each pin")
}

// fill completes the lists that show.toml left to the cue list.
func (c *cueChecks) fill(s *Show) {
	if c.anyPosition {
		for _, name := range c.positions {
			s.Positions = append(s.Positions, Position{Name: name})
		}
	}
	if c.anyModule {
		for _, name := range c.modules {
			s.Modules = append(s.Modules, Module{Name: name})
		}
	}
}

// checkGaps warns of cues that follow each other faster than their module can.
// The cues are in firing order.
func checkGaps(s *Show, f *finder) {
	gaps := map[string]Module{}
	for _, m := range s.Modules {
		if m.MinGap > 0 {
			gaps[m.Name] = m
		}
	}
	last := map[string]Cue{}
	for _, cue := range s.Cues {
		m, ok := gaps[cue.Module]
		if !ok {
			continue
		}
		before, met := last[m.Name]
		last[m.Name] = cue
		if gap := cue.IgniteAt() - before.IgniteAt(); met && gap < m.MinGap {
			f.add(Problem{
				Severity: SeverityWarn, Code: CodeGap, File: s.CuesFile, Line: cue.Line,
				Found: fmt.Sprintf("cue %s %s after cue %s (line %d) on module %s",
					Quote(cue.ID), gap, Quote(before.ID), before.Line, Quote(m.Name)),
				Wanted: fmt.Sprintf("at least %s between them", m.MinGap),
			})
		}
	}
}
