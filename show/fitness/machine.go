package fitness

import (
	"fmt"
	"time"
)

// What the computer is measured by; common practice, no source, but for the first:
// a task of the sound that comes later than that leaves the device without music.
const (
	soundBuffer  = 90 * time.Millisecond
	tardy        = 20 * time.Millisecond
	slowSync     = 100 * time.Millisecond
	slowestSync  = time.Second
	clockNoticed = 20 * time.Millisecond
)

func (t *Timer) findings() []Finding {
	text := fmt.Sprintf("of %d tasks 99 in 100 ran within %s of their time, the latest %s late", t.Ticks, t.Late99, t.Worst)
	const do = "close other programs, plug the charger in, switch power saving off"
	switch {
	case t.Late99.abs() > soundBuffer:
		return []Finding{{Grade: Unfit, Text: text + ": the music cannot be fed in time", Do: do}}
	case t.Worst.abs() > soundBuffer:
		return []Finding{{Grade: Limit, Text: text + ": the music may have a gap", Do: do}}
	case t.Late99.abs() > tardy:
		return []Finding{{Grade: Limit, Text: text, Do: do}}
	}
	return []Finding{{Grade: Good, Text: text}}
}

func (d *Disk) findings() []Finding {
	text := fmt.Sprintf("a line of the session log is safe after %s, of %d at most %s", d.Median, d.Syncs, d.Worst)
	if d.Median.abs() > slowSync || d.Worst.abs() > slowestSync {
		return []Finding{{Grade: Limit, Text: text + ": a crash may lose as much of it", Do: "keep the user's data folder on a disk of the computer, not on a stick or a network"}}
	}
	return []Finding{{Grade: Good, Text: text}}
}

func (c *Clock) findings() []Finding {
	if c.Step.abs() <= clockNoticed {
		return []Finding{{Grade: Good, Text: fmt.Sprintf("the time of day went on without a step for %s", c.Watched)}}
	}
	way := "forward"
	if c.Step < 0 {
		way = "back"
	}
	return []Finding{{Grade: Limit, Text: fmt.Sprintf("the time of day was put %s by %s: that of entries in the log is off; a run itself is not", way, Milliseconds(c.Step.abs())),
		Do: "let the computer set its clock before the show, and wait until it has"}}
}
