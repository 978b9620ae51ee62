package planted

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"drylane/show"
)

// A Kind is what the cues of a list stand on.
type Kind string

// The kinds of list.
const (
	Beats     Kind = "beats"
	Bars      Kind = "bars"
	HalfBeats Kind = "half beats"
	LoudNotes Kind = "loud notes"
)

// Kinds are all kinds, and Sizes the numbers of cues, that are tried.
var (
	Kinds = []Kind{Beats, Bars, HalfBeats, LoudNotes}
	Sizes = []int{40, 120, 240, 480}
)

const (
	positions = 6
	// offGrid is the part of the moments that stand anywhere: cues are put to a
	// word, to a picture, or wrong.
	offGrid = 0.2
)

// A style is how a list is made; it is drawn anew for each.
type style struct {
	kind     Kind
	cues     int
	together bool          // a moment is fired by one to six positions at once
	loudest  bool          // ... by the more the louder it is
	heard    bool          // only where a note begins
	step     time.Duration // times are rounded to
}

func draw(r *rand.Rand, kind Kind, cues int) style {
	return style{kind, cues, r.IntN(2) == 0, r.IntN(2) == 0, r.IntN(2) == 0,
		[]time.Duration{time.Millisecond, 10 * time.Millisecond, time.Second / 30}[r.IntN(3)]}
}

// list makes a cue list for the piece, no longer than length.
func (p *Piece) list(r *rand.Rand, s style, length time.Duration) []show.Cue {
	places := p.places(s)
	places = places[:sortedBefore(places, length)]
	var out []show.Cue
	order := r.Perm(len(places))
	for i := 0; len(out) < s.cues && len(places) > 0; i++ {
		at := places[order[i%len(order)]]
		n := 1
		if s.together {
			n = []int{1, 1, 2, 2, 3, 6}[r.IntN(6)]
		}
		if s.together && s.loudest {
			n = 1 + int(5*p.loudness(at)*r.Float64())
		}
		if r.Float64() < offGrid {
			at, n = time.Duration(r.Int64N(int64(length))), 1
		}
		for _, k := range r.Perm(positions)[:min(n, s.cues-len(out))] {
			out = append(out, show.Cue{ID: fmt.Sprint(len(out) + 1), Position: positionName(k), EffectAt: at.Round(s.step)})
		}
	}
	return out
}

func positionName(i int) string { return string(rune('A' + i)) }

func sortedBefore(at []time.Duration, end time.Duration) int {
	i, _ := slices.BinarySearch(at, end)
	return i
}

// places are where cues of a style may stand, in order.
func (p *Piece) places(s style) []time.Duration {
	var out []time.Duration
	switch s.kind {
	case Beats:
		out = slices.Clone(p.Grid.Beats)
	case Bars:
		out = slices.Clone(p.Grid.Bars)
	case HalfBeats:
		for i, b := range p.Grid.Beats {
			if out = append(out, b); i+1 < len(p.Grid.Beats) {
				out = append(out, (b+p.Grid.Beats[i+1])/2)
			}
		}
	case LoudNotes:
		return p.loudNotes()
	}
	if s.heard {
		out = slices.DeleteFunc(out, func(at time.Duration) bool { _, ok := p.onset(at); return !ok })
	}
	return out
}

// loudNotes are the third of the onsets that is played loudest.
func (p *Piece) loudNotes() []time.Duration {
	order := make([]int, len(p.Onsets))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return p.Loud[b] - p.Loud[a] })
	var out []time.Duration
	for _, i := range order[:len(order)/3] {
		out = append(out, p.Onsets[i])
	}
	slices.Sort(out)
	return out
}

// onset returns the place of the onset at a moment, within 10 ms.
func (p *Piece) onset(at time.Duration) (int, bool) {
	const close = 10 * time.Millisecond
	i, _ := slices.BinarySearch(p.Onsets, at-close)
	return i, i < len(p.Onsets) && p.Onsets[i] <= at+close
}

// loudness is the part of the onsets that are no louder than that at a moment, 0
// where there is none.
func (p *Piece) loudness(at time.Duration) float64 {
	i, ok := p.onset(at)
	if !ok {
		return 0
	}
	below := 0
	for _, l := range p.Loud {
		if l <= p.Loud[i] {
			below++
		}
	}
	return float64(below) / float64(len(p.Loud))
}
