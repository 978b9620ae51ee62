package check

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/field"
	"drylane/show/lock"
	"drylane/show/words"
)

// deviceRule counts the devices in the field: the modules that have a cue, and
// the playback devices, which count as well (common practice, no source).
func deviceRule(f *Facts, c *collector) {
	s := f.Show
	used := map[string]bool{}
	for _, cue := range s.Cues {
		if cue.Module != "" {
			used[cue.Module] = true
		}
	}
	var idle []string
	for _, m := range s.Modules {
		if !used[m.Name] {
			idle = append(idle, show.Quote(m.Name))
		}
	}
	if len(idle) > 0 && len(s.Cues) > 0 {
		c.note(CodeDeviceIdle, "show.toml", "no cue is on "+oneOf("module", idle), "leave it out, or see whether cues are missing")
	}
	if s.FieldDevices == 0 {
		return
	}
	if have := len(used) + len(s.Players); have != s.FieldDevices && len(s.Cues) > 0 {
		c.warn(CodeDevices, "show.toml", fmt.Sprintf("%s expected, and %s with cues and %s make %d",
			words.Count(s.FieldDevices, "device"), words.Count(len(used), "module"), words.Count(len(s.Players), "player"), have),
			"find the device that is missing or too many, or set field_devices")
	}
}

// oneOf lists names after what they are.
func oneOf(what string, names []string) string {
	const most = 10
	more := ""
	if len(names) > most {
		more = fmt.Sprintf(" and %d more", len(names)-most)
		names = names[:most]
	}
	if len(names) > 1 {
		what += "s"
	}
	return what + " " + strings.Join(names, ", ") + more
}

// positionRule names the positions that no figure can be given for.
func positionRule(f *Facts, c *collector) {
	var bare []string
	for _, p := range f.Show.Positions {
		if p.Distance == 0 {
			bare = append(bare, show.Quote(p.Name))
		}
	}
	if len(bare) > 0 {
		c.note(CodeDistance, "show.toml", "no distance_m is given for "+oneOf("position", bare),
			"add it, so that the sound's way and the separation can be worked out")
	}
}

// A slip is a prefire that is implausible for a caliber.
type slip struct {
	caliber float64
	prefire time.Duration
}

// prefireRule looks for prefires that no shell of the caliber has: too short a
// one forbids arming, as the shell cannot be up by then. The same slip in many
// cues is one finding.
func prefireRule(f *Facts, c *collector) {
	cues := map[slip][]show.Cue{}
	var order []slip
	for _, cue := range f.Show.Cues {
		from, to, ok := field.PrefireRange(cue)
		if !ok || from <= cue.Prefire && cue.Prefire <= to {
			continue
		}
		key := slip{cue.Caliber, cue.Prefire}
		if len(cues[key]) == 0 {
			order = append(order, key)
		}
		cues[key] = append(cues[key], cue)
	}
	slices.SortStableFunc(order, func(a, b slip) int { return cmp.Compare(len(cues[b]), len(cues[a])) })
	for _, key := range order {
		list := cues[key]
		first := slices.MinFunc(list, func(a, b show.Cue) int { return cmp.Compare(a.Line, b.Line) })
		from, to, _ := field.Flight(key.caliber)
		add := c.warn
		if key.prefire < from {
			add = c.stop
		}
		add(CodePrefire, cueLine(f.Show, first), fmt.Sprintf("%s with a %.4g mm shell and a prefire of %.3f s (the first is cue %s)",
			words.Count(len(list), "cue"), key.caliber, key.prefire.Seconds(), show.Quote(first.ID)),
			fmt.Sprintf("look at prefire and caliber_mm: from lift to break %.1f to %.1f s are plausible (common practice, no source; from drag, and muzzle speeds from memory)", from.Seconds(), to.Seconds()))
	}
}

// separationRule is a caution, never a permission. People too close to shells are a
// stop; a decision in show.toml makes it a warning, and nothing makes it less.
func separationRule(f *Facts, c *collector) {
	for _, s := range field.Separations(f.Show) {
		place := "position " + s.Position
		switch {
		case s.Short() && s.Decided == nil:
			c.stop(CodeSeparation, place, s.Words(), "move it or the people, or say in show.toml who decided and why: [["+decidedKey+"]]; "+field.Decides)
		case s.Short():
			c.warn(CodeSeparation, place, s.Words(), "ask again if anything has changed since: "+field.Decides)
		case s.Decided != nil:
			c.note(CodeDecided, place, "show.toml decides on people too close to it, and by the rule of thumb nobody is",
				"take that [["+decidedKey+"]] out, or it will cover what changes later")
		}
	}
}

// decidedKey is the table of show.toml that holds decisions.
const decidedKey = "decided"

// gapRule tells, a line for each family, what the rules of thumb say nothing of.
func gapRule(f *Facts, c *collector) {
	for _, g := range field.Gaps(f.Show) {
		c.note(CodeNotAssessed, cueLine(f.Show, g.First), g.String(), "ask for the figures of the maker and of the authority: nothing here says that it is far enough")
	}
}

// lockRule says what has changed since the lock.
func lockRule(f *Facts, c *collector) {
	l := f.Lock
	switch {
	case !l.Known:
	case l.Open != "":
		c.warn(CodeLockOpen, lock.File, l.Open, "lock the show again after a rehearsal: drylane lock")
	case l.Lock == nil:
		c.note(CodeLockNone, lock.File, "the show has not been locked, so nobody can tell whether it is as rehearsed",
			"after the last rehearsal: drylane lock")
	case l.Lock.Seal == lock.Older:
		c.note(CodeLockEdited, lock.File, l.Lock.Seal.Words(), "lock the show again after a rehearsal: drylane lock")
	case l.Lock.Seal == lock.Broken:
		c.warn(CodeLockEdited, lock.File, l.Lock.Seal.Words(), "put back the lock that was written, or rehearse and lock again: drylane lock")
	}
	for _, ch := range l.Changes {
		add := c.warn
		if ch.Harmless {
			add = c.note
		}
		add(CodeLockChanged, ch.File, ch.Words, "rehearse what changed and lock again, or put back what was rehearsed")
	}
}
