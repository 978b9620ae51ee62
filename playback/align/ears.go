package align

import "context"

// An ear makes one signal of the two sides: by how much each is taken.
type ear [2]float64

// The ears. In both, a side whose polarity is reversed is heard as the difference
// of the two, and the difference as both.
var (
	both       = ear{0.5, 0.5}
	difference = ear{0.5, -0.5}
	leftAlone  = ear{1, 0}
	rightAlone = ear{0, 1}
)

// A hearing is another way to listen to the two files, when they are not the same
// music to both ears: what it means if they are the same to these. A zero ear
// stands for both.
type hearing struct {
	a, b     ear
	reversed bool   // a side of one file has its polarity reversed
	ofA      string // the one side of A that B holds
}

// hearings lists what to try. One side reversed makes the difference of that file
// the sum of the other, so that the first finds it whichever file is at fault, as
// long as A's sum can be heard; where it cannot, the second does. A B of which a
// side is silent, or both are the same, may hold one side of A alone.
func hearings(a, b *track) []hearing {
	hs := []hearing{{a: both, b: difference, reversed: true}}
	if a.level < silenceLevel {
		hs[0] = hearing{a: difference, b: both, reversed: true}
	}
	if b.oneSided() && !a.oneSided() {
		hs = append(hs, hearing{a: leftAlone, b: both, ofA: "left"}, hearing{a: rightAlone, b: both, ofA: "right"})
	}
	return hs
}

// oneSided reports whether a track has the same on both sides, or nothing on one.
func (t *track) oneSided() bool {
	power, apart := t.powers()
	return deaf(power) != "" || apart <= deafness*(power[0]+power[1])
}

// powers are those of the sides and of their difference, in sums of squares.
func (t *track) powers() (sides [2]float64, apart float64) {
	for k, l := range t.sides[0] {
		r := t.sides[1][k]
		sides[0] += float64(l) * float64(l)
		sides[1] += float64(r) * float64(r)
		apart += float64(l-r) * float64(l-r)
	}
	return sides, apart
}

// hearOtherwise compares the files by the other hearings, until they are the same
// music by one, or at least in part where they were not before.
func hearOtherwise(ctx context.Context, a, b Audio, ta, tb *track, res Result, opts Options) (Result, error) {
	for _, h := range hearings(ta, tb) {
		ha, hb := ta, tb
		var err error
		if h.a != both {
			if ha, err = readTrack(ctx, a, h.a, func(float64) {}); err != nil {
				return res, named(err, "the first file")
			}
		}
		if h.b != both {
			if hb, err = readTrack(ctx, b, h.b, func(float64) {}); err != nil {
				return res, named(err, "the second file")
			}
		}
		got, err := compareTracks(ctx, ha, hb, opts, newProgress(nil))
		if err != nil {
			return res, err
		}
		if !got.Same && (got.Verdict != Partly || res.Verdict == Partly) {
			continue
		}
		h.mark(&got)
		if res = got; res.Same {
			break
		}
	}
	return res, nil
}

// mark says in res what it means that the files are the same by h.
func (h hearing) mark(res *Result) {
	if h.reversed {
		// The difference, left minus right, is the sum but for the right side.
		res.Reversed = "right"
		if res.Polarity < 0 {
			res.Reversed = "left"
		}
		res.Polarity, res.Swapped = 1, false
		return
	}
	res.Swapped, res.OneSide = false, h.ofA
}
