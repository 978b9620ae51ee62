package show

import (
	"fmt"
	"sort"
	"strings"
	"time"

	"drylane/show/timebase"
	"drylane/show/words"
)

// Open is what a resume leaves open.
type Open struct {
	Unticked int    // lines of the hold checklist that were not ticked
	Up       int    // effects still up by the list, or unknown
	Unknown  int    // of Up: those without a burn time
	Silent   int    // members of the crew who have not acknowledged the hold
	Asks     string // which of them ask to have their position stood down, in words; empty for none
	// Count is the cue whose count on a companion track is under way, so that its
	// beginning is lost; empty for none. Nothing can be done about it.
	Count string
}

// Any reports whether anything is open that the shooter could wait for.
func (o Open) Any() bool { return o.Unticked > 0 || o.Up > 0 || o.Silent > 0 || o.Asks != "" }

// Words says what is open, such as "2 still up, 1 unknown, 3 lines unticked, inside
// the count for cue 14".
func (o Open) Words() string {
	var parts []string
	if o.Asks != "" {
		parts = append(parts, o.Asks)
	}
	if up := o.Up - o.Unknown; up > 0 {
		parts = append(parts, fmt.Sprintf("%d still up", up))
	}
	if o.Unknown > 0 {
		parts = append(parts, fmt.Sprintf("%d unknown", o.Unknown))
	}
	if o.Unticked > 0 {
		parts = append(parts, words.Count(o.Unticked, "line")+" unticked")
	}
	if o.Silent > 0 {
		parts = append(parts, fmt.Sprintf("%d of the crew not heard from", o.Silent))
	}
	if o.Count != "" {
		parts = append(parts, "inside the count for cue "+o.Count)
	}
	return strings.Join(parts, ", ")
}

// unknownFor is for how long an effect without a burn time may be burning: longer
// than a cake, a fountain or a lance burns (common practice, no source). Nobody has
// to wait for that: the spotter sees it.
const unknownFor = 5 * time.Minute

// Unknown returns how many cues that have fired have no burn time, so that the
// list cannot say whether their effects are still up when the music has stood still
// for stopped (0 while it runs). Those whose effect has yet to come are left to
// StillUp.
func (t *Transport) Unknown(stopped time.Duration) (n int) {
	passed := t.heard + timebase.FrameAt(stopped, t.plan.Rate)
	reach := timebase.FrameAt(unknownFor, t.plan.Rate)
	list := t.plan.unknown
	k := sort.Search(len(list), func(k int) bool { return int(list[k]) >= t.next })
	for k--; k >= 0; k-- {
		i := int(list[k])
		if t.FiresAt(i)+t.plan.MaxLife+reach <= t.heard {
			break
		}
		if at := t.EffectAt(i); !t.Down(i) && at <= passed && passed < at+reach {
			n++
		}
	}
	return n
}
