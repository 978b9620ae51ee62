package planted

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"drylane/show"
	"drylane/show/review"
)

// A Plant is what is wrong with a list.
type Plant string

// The plants.
const (
	None    Plant = "nothing"
	Whole   Plant = "whole list, +180 ms"
	Small   Plant = "whole list, 60 to 250 ms"
	Far     Plant = "whole list, 0.5 to 2 s"
	One     Plant = "one position, 150 to 300 ms"
	Slow    Plant = "growing, 0.02 %"
	Fast    Plant = "growing, 0.1 %"
	Foreign Plant = "other music"
)

// Plants are all plants.
var Plants = []Plant{None, Whole, Small, Far, One, Slow, Fast, Foreign}

// A Trial is one list, what was planted in it, and what a review told.
type Trial struct {
	Piece string
	Plant Plant
	Kind  Kind
	Cues  int

	Shift    time.Duration // of the whole list, or of Position
	Position string
	Slope    float64
	// Near says that the shift is under half the shortest period of the music.
	Near   bool
	Report review.Report
	Facts  []Fact
}

// A Fact is what a review told without a doubt.
type Fact struct {
	review.Verdict
	Right bool
}

// exact is how far a shift that is told may lie from what was planted.
const exact = 25 * time.Millisecond

// inPlace is what a list may be late or early and still be called in its place.
const inPlace = 45 * time.Millisecond

// Run makes a list for the piece, plants, and has it reviewed. other is the music
// that a Foreign list is made for.
func (p *Piece) Run(r *rand.Rand, plant Plant, kind Kind, cues int, other *Piece) Trial {
	t := Trial{Piece: p.Name, Plant: plant, Kind: kind, Cues: cues}
	from := p
	if plant == Foreign {
		from = other
	}
	list := from.list(r, draw(r, kind, cues), p.Music.Length)
	t.plan(r)
	t.Near = t.Shift.Abs() < p.Shortest()/2
	for i, c := range list {
		if t.Position == "" || t.Position == c.Position {
			c.EffectAt += t.Shift + time.Duration(t.Slope*float64(c.EffectAt))
			list[i].EffectAt = c.EffectAt.Round(time.Millisecond)
		}
	}
	slices.SortStableFunc(list, func(a, b show.Cue) int { return cmp.Compare(a.EffectAt, b.EffectAt) })
	t.Report = p.ear().Check(list)
	for _, v := range t.Report.Verdicts {
		if isFact(v.Code) {
			t.Facts = append(t.Facts, Fact{v, t.right(v, list)})
		}
	}
	return t
}

// plan draws what is planted.
func (t *Trial) plan(r *rand.Rand) {
	between := func(lo, hi time.Duration) time.Duration {
		d := lo + time.Duration(r.Int64N(int64(hi-lo)))
		if r.IntN(2) == 0 {
			d = -d
		}
		return d.Round(time.Millisecond)
	}
	sign := float64(1 - 2*r.IntN(2))
	const ms = time.Millisecond
	switch t.Plant {
	case Whole:
		t.Shift = 180 * ms
	case Small:
		t.Shift = between(60*ms, 250*ms)
	case Far:
		t.Shift = between(500*ms, 2000*ms)
	case One:
		t.Position, t.Shift = positionName(r.IntN(positions)), between(150*ms, 300*ms)
	case Slow:
		t.Slope = sign * 2e-4
	case Fast:
		t.Slope = sign * 1e-3
	}
}

// isFact reports whether a verdict tells where something is, rather than what
// cannot be told.
func isFact(c review.Code) bool {
	switch c {
	case review.InPlace, review.Shifted, review.Out, review.PositionApart, review.PositionUnclear, review.SectionApart, review.Drifts:
		return true
	}
	return false
}

// tells reports whether one of the facts told is of one of those kinds.
func (t *Trial) tells(codes ...review.Code) bool {
	return slices.ContainsFunc(t.Facts, func(f Fact) bool { return slices.Contains(codes, f.Code) })
}

// right reports whether a fact is true of what was planted.
func (t *Trial) right(v review.Verdict, list []show.Cue) bool {
	whole := t.Shift
	if t.Position != "" {
		whole = 0
	}
	switch v.Code {
	case review.InPlace:
		return t.Plant != Foreign && whole.Abs() <= inPlace+exact
	case review.Shifted:
		return t.Plant != Foreign && (v.Shift-whole).Abs() <= exact
	case review.Out:
		return t.Plant != Foreign && (whole.Abs() > inPlace-exact || t.Slope != 0)
	case review.PositionApart:
		return t.Position == v.Position && (v.Shift-t.Shift).Abs() <= exact
	case review.PositionUnclear:
		return t.Position == v.Position
	case review.Drifts:
		return t.Slope != 0 && t.growthRight(list[len(list)-1].EffectAt)
	}
	return false
}

// growthRight reports whether what is told of a growth comes close for its rate, and
// for what the cues are late by at last.
func (t *Trial) growthRight(last time.Duration) bool {
	got := t.Report.Rate
	late := time.Duration(got.Slope*float64(last-got.From)) - time.Duration(t.Slope*float64(last))
	return late.Abs() <= exact && math.Abs(got.Slope/t.Slope-1) <= 1.0/3
}

// Told reports whether what was planted was told, and nothing wrong with it. Of a
// list in its place that is told, of one for other music that nothing is.
func (t *Trial) Told() bool {
	if t.Wrong() {
		return false
	}
	want := review.Shifted
	switch t.Plant {
	case None:
		want = review.InPlace
	case One:
		want = review.PositionApart
	case Slow, Fast:
		want = review.Drifts
	case Foreign:
		return true
	}
	for _, f := range t.Facts {
		if f.Code == want {
			return true
		}
	}
	return false
}

// Wrong reports whether anything told is not so.
func (t *Trial) Wrong() bool {
	for _, f := range t.Facts {
		if !f.Right {
			return true
		}
	}
	return false
}

// Named reports whether what was planted is among what is said: of a position that it
// does not fit where the rest does, of a list that its shift is the one found or one
// of those that the music does not tell from it.
func (t *Trial) Named() bool {
	if t.Position != "" {
		return slices.ContainsFunc(t.Report.Verdicts, func(v review.Verdict) bool { return v.Position == t.Position })
	}
	near := func(d time.Duration) bool { return (d - t.Shift).Abs() <= exact }
	f := t.Report.Show
	return near(f.Shift) || slices.ContainsFunc(f.Rivals, func(v review.Rival) bool { return near(v.Shift) })
}
