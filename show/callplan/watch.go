package callplan

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/words"
)

// A Watch tells where a run has left the calls of its companion tracks behind: a
// track is a file in a player, and follows neither a nudge nor a resume that comes
// in the middle of a count. A person who calls follows both, and is not watched.
type Watch struct {
	posts []watchedPost
	cues  map[string]int // index into the plan by id
}

// A watchedPost is one that a track calls, with its cues in the plan, in order.
type watchedPost struct {
	Post
	cues []int
}

// NewWatch returns the watch over the tracks of s, whose cues p lays out.
func NewWatch(s *show.Show, p *show.Plan) *Watch {
	w := &Watch{cues: map[string]int{}}
	for i, c := range p.Cues {
		w.cues[s.Cues[c.List].ID] = i
	}
	for _, post := range Posts(s) {
		if post.Track != "" {
			w.posts = append(w.posts, watchedPost{post, planned(p, post.Position)})
		}
	}
	return w
}

// Positions are those that a track calls.
func (w *Watch) Positions() []string {
	var names []string
	for _, p := range w.posts {
		names = append(names, p.Position)
	}
	return names
}

// Off returns the positions whose calls are off by the nudge that was asked for: a
// track calls them, and they have cues to come.
func (w *Watch) Off(t *show.Transport) []string {
	if t.Asked() == 0 {
		return nil
	}
	var names []string
	for _, p := range w.posts {
		if p.toCome(t) {
			names = append(names, p.Position)
		}
	}
	return names
}

// planned are the cues of a position, in the order of the plan.
func planned(p *show.Plan, position string) (list []int) {
	g := p.Group(show.Group{By: show.LanesByPosition, Name: position})
	for i := range p.Cues {
		if g >= 0 && p.In(i, g) {
			list = append(list, i)
		}
	}
	return list
}

// toCome reports whether the post has a cue that is to come. A screen asks for each
// picture: the last of them tells, unless it is stood down.
func (p *watchedPost) toCome(t *show.Transport) bool {
	for _, i := range slices.Backward(p.cues) {
		if i < t.Next() {
			return false
		}
		if !t.Down(i) {
			return true
		}
	}
	return false
}

// OffWords says how far the calls at positions are off with a nudge, such as "CALLS
// ARE 2.0 s LATE AT Beacon". Cues that come earlier leave their calls late.
func OffWords(nudge time.Duration, positions []string) string {
	return fmt.Sprintf("CALLS ARE %.1f s %s AT %s", nudge.Abs().Seconds(), strings.ToUpper(words.Side(nudge)), strings.Join(positions, ", "))
}

// Caught is a count that is under way.
type Caught struct {
	Cue, Position string
}

// InCount returns the count that is under way where the music stands: a run that
// goes on from there has lost the beginning of it. ok is false when there is none,
// or all that it calls has fired or is stood down.
func (w *Watch) InCount(t *show.Transport) (c Caught, ok bool) {
	at := t.Heard().At(t.Plan().Rate)
	for _, p := range w.posts {
		shot, _, under := p.Plan.Underway(at)
		if !under {
			continue
		}
		k := slices.IndexFunc(shot.Cues, func(c Cue) bool { i := w.cues[c.ID]; return i >= t.Next() && !t.Down(i) })
		if k >= 0 {
			return Caught{shot.Cues[k].ID, p.Position}, true
		}
	}
	return c, false
}
