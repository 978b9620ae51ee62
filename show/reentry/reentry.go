// Package reentry proposes places from which a show can start again after it was cut and
// made safe: where the music changes, or where the list leaves a pause, and where a start
// tears nothing in two. It proposes; the operator in charge decides.
package reentry

import (
	"cmp"
	"fmt"
	"iter"
	"slices"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/callplan"
	"drylane/show/timebase"
	"drylane/show/words"
)

// A Proposal is a place and what a start from there would do.
type Proposal struct {
	show.Entry
	At    time.Duration // the place
	Why   string        // what speaks for it
	Codes []string      // the timecode at the place, of each track that carries one
	Torn  string        // what a start would tear in two; only of a place by hand
}

// What keeps a place from being proposed.
const (
	longBurn  = 5 * time.Second // an effect that burns so long would be missed
	chaseGap  = 500 * time.Millisecond
	chaseCues = 4 // so near to one another are a chase
	pause     = 3 * time.Second
	same      = 2 * time.Second // places nearer to each other are one
)

// Propose returns the places of the music, in order of time, that a start can be made
// from. t is the run as it stands, changes are the moments at which the music changes, and
// runUp is how long the music plays alone before a place.
func Propose(s *show.Show, t *show.Transport, changes []time.Duration, runUp time.Duration) []Proposal {
	list, _ := sortOut(s, t, changes, runUp)
	return list
}

// A Rejection is a change of the music that is not proposed, and why.
type Rejection struct {
	At  time.Duration
	Why string
}

func (r Rejection) String() string {
	return timebase.ClockMillis(r.At) + ": the music changes, no place: " + r.Why
}

// Rejected are the changes of the music that are not proposed, in order of time.
func Rejected(s *show.Show, t *show.Transport, changes []time.Duration) []Rejection {
	_, out := sortOut(s, t, changes, 0)
	return out
}

// sortOut takes what can be proposed, and the changes of the music that cannot.
func sortOut(s *show.Show, t *show.Transport, changes []time.Duration, runUp time.Duration) (list []Proposal, out []Rejection) {
	l := layOut(s)
	add := func(at time.Duration, why string) (against string) {
		e := t.EntryAt(at, min(runUp, at))
		near := slices.IndexFunc(list, func(p Proposal) bool { return (p.At - at).Abs() < same })
		switch torn := l.torn(at); {
		case torn != "":
			return "it lies inside " + torn
		case near >= 0:
			return "it is nearly " + timebase.ClockMillis(list[near].At)
		case e.Fires == 0:
			return "nothing is left to fire from there on"
		}
		list = append(list, Proposal{Entry: e, At: at, Why: why, Codes: codes(s, at)})
		return ""
	}
	for _, at := range changes {
		if at < 0 {
			continue
		}
		if why := add(at, "the music changes"); why != "" {
			out = append(out, Rejection{at, why})
		}
	}
	for _, at := range l.pauses() {
		if at >= 0 {
			add(at, "the list pauses before it")
		}
	}
	add(0, "the beginning")
	slices.SortFunc(list, func(a, b Proposal) int { return cmp.Compare(a.At, b.At) })
	return list, out
}

// ByHand is a place that a person chose, which may tear something in two.
func ByHand(s *show.Show, t *show.Transport, at, runUp time.Duration) Proposal {
	return Proposal{Entry: t.EntryAt(at, min(runUp, at)), At: at, Why: "by hand", Codes: codes(s, at), Torn: layOut(s).torn(at)}
}

// Torn says what a start at a place would tear in two; nothing where it would not.
func Torn(s *show.Show, at time.Duration) string { return layOut(s).torn(at) }

// A layout is the cue list as places are checked against it.
type layout struct {
	row   []show.Cue // in order of their effects
	posts []callplan.Post
}

func layOut(s *show.Show) layout {
	row := slices.Clone(s.Cues)
	slices.SortStableFunc(row, func(a, b show.Cue) int { return cmp.Compare(a.EffectAt, b.EffectAt) })
	return layout{row, callplan.Posts(s)}
}

// torn says what a start at a place would tear in two; nothing where it would not.
func (l layout) torn(at time.Duration) string {
	for _, post := range l.posts {
		if shot, begin, ok := post.Plan.Underway(at); ok && begin < at && len(shot.Cues) > 0 {
			return "the count for cue " + shot.Cues[0].ID
		}
	}
	for _, c := range l.row {
		if c.Burn >= longBurn && c.EffectAt < at && at < c.EffectAt+c.Burn {
			return "cue " + c.ID + " burning"
		}
	}
	return l.chase(at)
}

// chase says which row of cues a place lies within.
func (l layout) chase(at time.Duration) string {
	row := l.row
	i, _ := slices.BinarySearchFunc(row, at, func(c show.Cue, at time.Duration) int { return cmp.Compare(c.EffectAt, at) })
	if i == 0 || i == len(row) || row[i].EffectAt-row[i-1].EffectAt > chaseGap {
		return ""
	}
	from, to := i-1, i
	for from > 0 && row[from].EffectAt-row[from-1].EffectAt <= chaseGap {
		from--
	}
	for to+1 < len(row) && row[to+1].EffectAt-row[to].EffectAt <= chaseGap {
		to++
	}
	if to-from+1 < chaseCues || row[i].EffectAt == at && i == from {
		return ""
	}
	return "the chase of cues " + row[from].ID + " to " + row[to].ID
}

// pauses are the effects that nothing comes before for a while.
func (l layout) pauses() []time.Duration {
	var list []time.Duration
	for i := 1; i < len(l.row); i++ {
		if l.row[i].EffectAt-l.row[i-1].EffectAt >= pause {
			list = append(list, l.row[i].EffectAt)
		}
	}
	return list
}

// codes are the timecode at a place, of each track that carries one.
func codes(s *show.Show, at time.Duration) []string {
	var list []string
	for _, t := range s.Tracks {
		for _, text := range [...]string{t.Left, t.Right} {
			c, err := show.ParseChannel(text)
			if err != nil || c.Source != show.ChannelTimecode {
				continue
			}
			first, err := c.Rate.Index(c.Start)
			if err != nil {
				continue
			}
			const perSecond = int(time.Second)
			k := first + c.Rate.FrameAt(int64(at), perSecond)
			if code := c.Rate.Timecode(k%c.Rate.DayFrames()).String() + " at " + c.Rate.String(); !slices.Contains(list, code) {
				list = append(list, code)
			}
		}
	}
	return list
}

// Words are what a start from the place would do. ids names the cues of the plan.
func (p Proposal) Words(rate int, ids func(i int) string) string {
	s := fmt.Sprintf("%s, first after %.1f s", words.Count(p.Fires, "cue"), p.First.At(rate).Seconds())
	if len(p.Skipped) > 0 {
		s += fmt.Sprintf("; %d stay loaded: treat as live: %s", len(p.Skipped), Named(p.Skipped, ids))
	}
	return s
}

// Named lists cues of the plan, those in a row by their ends. ids names them.
func Named(list []int, ids func(i int) string) string {
	var parts []string
	for _, part := range runs(list, ids) {
		parts = append(parts, part)
	}
	return strings.Join(parts, ", ")
}

// NamedWithin is Named for as many of the cues as there is room for, such as
// "1, 4 to 9 and 12 more"; empty where there is room for none. A run is named whole or
// not at all. It costs what is named, and not what is left out.
func NamedWithin(list []int, ids func(i int) string, fits func(text string) bool) (named string) {
	text := ""
	for end, part := range runs(list, ids) {
		if text != "" {
			text += ", "
		}
		if text += part; !fits(text) {
			break
		}
		whole := text
		if rest := len(list) - end; rest > 0 {
			whole += fmt.Sprintf(" and %d more", rest)
		}
		if fits(whole) {
			named = whole
		}
	}
	return named
}

// runs names the cues of a list, three and more in a row by their ends, with where in
// the list each name ends.
func runs(list []int, ids func(i int) string) iter.Seq2[int, string] {
	return func(yield func(int, string) bool) {
		for i := 0; i < len(list); {
			end := i + 1
			for end < len(list) && list[end] == list[end-1]+1 {
				end++
			}
			part := ids(list[i])
			if end-i > 2 {
				part += " to " + ids(list[end-1])
			} else {
				end = i + 1
			}
			if !yield(end, part) {
				return
			}
			i = end
		}
	}
}

// Head is where the place is, and why.
func (p Proposal) Head() string {
	s := timebase.ClockMillis(p.At) + ": " + p.Why
	if len(p.Codes) > 0 {
		s += "; timecode " + strings.Join(p.Codes, ", ")
	}
	return s
}

// Bars says what the changes of the music are not: which beat begins a bar was told
// rightly for half of the pieces only whose scores say it, and so it is not told.
const Bars = "Where the music changes a phrase starts, as far as this program hears; that is no certain bar."

// Care ends every list of proposals.
const Care = "Only after make safe, and when everybody is out of the field; what stays loaded stays live. The operator in charge decides."
