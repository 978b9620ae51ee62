package check

import (
	"cmp"
	"fmt"
	"slices"

	"drylane/show/battery"
	"drylane/show/reach"
)

// radioRule plans the links from the console to the positions: those that are weak
// are told one by one, and otherwise the weakest of them.
func radioRule(f *Facts, c *collector) {
	links := reach.Links(f.Show)
	if len(links) == 0 {
		return
	}
	weak := 0
	for _, l := range links {
		if l.Weak() {
			weak++
			c.warn(CodeRadio, "position "+l.Position, l.Words(),
				fmt.Sprintf("raise the antennas, or bring the console nearer, then test it on the ground; reckoned for %s", reach.Basis(f.Show.Radio)))
		}
	}
	if weak == 0 {
		l := slices.MinFunc(links, func(a, b reach.Link) int { return cmp.Compare(a.MarginDB, b.MarginDB) })
		c.note(CodeRadio, "position "+l.Position, "the weakest link: "+l.Words(), "test it on the ground: this is a plan and no promise; reckoned for "+reach.Basis(f.Show.Radio))
	}
}

// batteryRule plans the batteries of the field.
func batteryRule(f *Facts, c *collector) {
	u, ok := battery.Of(f.Show, f.Music.Length)
	if !ok {
		return
	}
	add, do := c.note, "measure each battery on the day: this is a plan and no promise"
	if u.Short() {
		add, do = c.warn, "take larger or fresh batteries, or switch on later; measure each on the day"
	}
	add(CodeBattery, "show.toml", u.Words(), do)
}
