package review

import (
	"slices"
	"time"
)

// looks is how many other places of the music are looked at.
const looks = 40

// elsewhere is how likely it is, before the music is heard, that a list which
// fits music of this kind does not belong to this place of it.
const elsewhere = 0.3

// luck is the chance that the moments fit so well because other music of this
// kind would do as well: the same moments are moved to other places all over
// the music, around its end, and there too the best shift within the same reach
// is looked for, and the taste.
func (r *review) luck(moments []time.Duration, scatter time.Duration) float64 {
	const most = 200
	moments = thinned(moments, most)
	var best [looks + 1]float64
	for tried, like := range tastes(scatter) {
		t := newTrain(r.music, like, nil)
		length := time.Duration(len(t.worth)) * grid
		if length < 6*Reach {
			return 1
		}
		for k := range best {
			// Place 0 is here. The others lie evenly, but for what is searched here.
			by := length
			if k > 0 {
				by += 2*Reach + (length-4*Reach)*time.Duration(k-1)/(looks-1)
			}
			if v := t.bestAt(moments, by); tried == 0 || v > best[k] {
				best[k] = v
			}
		}
	}
	as := 1 // as good as here
	for _, v := range best[1:] {
		if v >= best[0] {
			as++
		}
	}
	chance := elsewhere * float64(as) / (looks + 1)
	return chance / (chance + 1 - elsewhere)
}

// bestAt is the best score of moments moved by up to Reach more or less than
// by, which is no less than Reach.
func (t *train) bestAt(moments []time.Duration, by time.Duration) float64 {
	n := len(t.worth)
	scores := make([]float64, 2*Reach/(2*grid)+1)
	for _, m := range moments {
		at := int((max(m, 0)+by-Reach)/grid) % n
		for i := range scores {
			scores[i] += float64(t.worth[at])
			if at += 2; at >= n {
				at -= n
			}
		}
	}
	return slices.Max(scores) / float64(len(moments))
}
