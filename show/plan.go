package show

import (
	"cmp"
	"slices"
	"time"

	"drylane/show/timebase"
)

// A Plan is a cue list laid out in frames of one soundtrack: what a Transport
// runs. It never changes once made and may be shared between goroutines.
type Plan struct {
	Rate       int            // soundtrack frames a second
	Length     timebase.Frame // of the music
	Guard      timebase.Frame
	NudgeLimit time.Duration
	Together   int            // how many cues may come due at once, beyond what the list fires together
	Gap        timebase.Frame // between cues that come due at once; 0: they fire on one frame, however many
	Cues       []PlanCue      // in firing order
	Groups     []Group        // everything that can be stood down
	MaxLife    timebase.Frame // longest prefire + burn of any cue

	unknown  []int32         // cues without a burn time, in firing order
	byEffect []int32         // indices into Cues, by effect time
	index    map[Group]int32 // where each group is in Groups
}

// A PlanCue is one cue in frames. Its index in Plan.Cues is its place in the
// firing order; List is its index in the cues the plan was made from.
type PlanCue struct {
	Ignite timebase.Frame // effect less prefire, with no nudge
	Effect timebase.Frame
	Burn   timebase.Frame
	List   int
	groups [3]int32 // indices into Plan.Groups, -1 for none

	// rank counts the frames on which the list fires something, up to this cue's. pace
	// and near add up, cue by cue, how near each may come to the one before it: behind
	// cues that are being spread, and else.
	rank       int32
	pace, near timebase.Frame
}

// Prefire is the time from ignition to effect.
func (c PlanCue) Prefire() timebase.Frame { return c.Effect - c.Ignite }

// A Group is a set of cues that can be stood down together: all of one
// position, one module or one effect family.
type Group struct {
	By   string // LanesByPosition, LanesByModule or LanesByFamily
	Name string
}

// NewPlan lays cues out for a soundtrack of length frames at rate.
func NewPlan(cues []Cue, console Console, rate int, length timebase.Frame) *Plan {
	p := &Plan{
		Rate: rate, Length: length,
		Guard:      timebase.FrameAt(console.Guard, rate),
		NudgeLimit: console.NudgeLimit,
		Together:   console.Together,
		Cues:       make([]PlanCue, len(cues)),
		byEffect:   make([]int32, len(cues)),
		index:      map[Group]int32{},
	}
	group := func(by, name string) int32 {
		if name == "" {
			return -1
		}
		g := Group{by, name}
		i, ok := p.index[g]
		if !ok {
			i = int32(len(p.Groups))
			p.index[g] = i
			p.Groups = append(p.Groups, g)
		}
		return i
	}
	for i, c := range cues {
		// The effect is what the audience hears the music against, so it is
		// the effect that is rounded to a frame, and the ignition follows.
		effect := timebase.FrameAt(c.EffectAt, rate)
		p.Cues[i] = PlanCue{
			Ignite: effect - timebase.FrameAt(c.Prefire, rate), Effect: effect,
			Burn: timebase.FrameAt(c.Burn, rate), List: i,
			groups: [3]int32{
				group(LanesByPosition, c.Position),
				group(LanesByModule, c.Module),
				group(LanesByFamily, c.Family.String()),
			},
		}
		p.MaxLife = max(p.MaxLife, p.Cues[i].Prefire()+p.Cues[i].Burn)
	}
	slices.SortStableFunc(p.Cues, func(a, b PlanCue) int { return cmp.Compare(a.Ignite, b.Ignite) })
	if console.Together != AnyTogether {
		p.keepApart()
	}
	for i := range p.byEffect {
		if p.Cues[i].Burn == 0 {
			p.unknown = append(p.unknown, int32(i))
		}
		p.byEffect[i] = int32(i)
	}
	slices.SortStableFunc(p.byEffect, func(a, b int32) int { return cmp.Compare(p.Cues[a].Effect, p.Cues[b].Effect) })
	return p
}

// keepApart works out how cues that come due at once are spread: as far apart as the
// list's own nearest, or leastGap. So are the cues behind them until they have caught
// up; but for those that the list itself has about as near as its nearest, which come a
// quarter nearer, or in an even row they never would.
func (p *Plan) keepApart() {
	own := timebase.Frame(0)
	for i := 1; i < len(p.Cues); i++ {
		if d := p.Cues[i].Ignite - p.Cues[i-1].Ignite; d > 0 && (own == 0 || d < own) {
			own = d
		}
	}
	least := timebase.FrameAt(leastGap, p.Rate)
	p.Gap = max(own, least)
	for i := 1; i < len(p.Cues); i++ {
		c, before := &p.Cues[i], &p.Cues[i-1]
		d := c.Ignite - before.Ignite
		near := min(d, least)
		c.rank, c.near, c.pace = before.rank, before.near+near, before.pace+max(near, min(p.Gap, d-d/4))
		if d > 0 {
			c.rank++
		}
	}
}

// Group returns the index of g in p.Groups, or -1.
func (p *Plan) Group(g Group) int {
	if i, ok := p.index[g]; ok {
		return int(i)
	}
	return -1
}

// In reports whether cue i belongs to group g.
func (p *Plan) In(i, g int) bool {
	for _, have := range p.Cues[i].groups {
		if int(have) == g {
			return true
		}
	}
	return false
}

// EffectsFrom returns the place in effect order of the first cue whose effect,
// with no nudge, is at f or later. ByEffect(k) turns places into cues.
func (p *Plan) EffectsFrom(f timebase.Frame) int {
	k, _ := slices.BinarySearchFunc(p.byEffect, f, func(i int32, f timebase.Frame) int { return cmp.Compare(p.Cues[i].Effect, f) })
	return k
}

// ByEffect returns the index of the k-th cue in order of effect.
func (p *Plan) ByEffect(k int) int { return int(p.byEffect[k]) }

// IgnitesFrom returns the first cue that ignites, with no nudge, at f or later.
func (p *Plan) IgnitesFrom(f timebase.Frame) int {
	i, _ := slices.BinarySearchFunc(p.Cues, f, func(c PlanCue, f timebase.Frame) int { return cmp.Compare(c.Ignite, f) })
	return i
}
