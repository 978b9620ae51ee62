package review

import (
	"math"
	"time"
)

// What speaks for a place, in nats for a unit of each. The figures were fitted by
// conditional logit to lists for music rendered from scores (package planted, the half
// to tune by), with a ridge and checked piece by piece on those left out.
//
// The first four are what repeats: a list that goes by the beat meets the same kind of
// accent at every beat, so that all its cues together are one observation of the habit
// of whoever made it, and count for about as much whether they are fifty or five
// hundred. The others do not repeat, and count in full.
const (
	perWorth = 3.3  // for a nat that a moment is worth where it is, in the mean
	perGap   = 13.5 // for the longest gaps behind the accents met and the shortest before them
	// For meeting, with all moments, the accents at which most another sound begins,
	// or another bass. They say the most: chords change on beats and bars, and hardly
	// between them, whatever is loud there.
	perTurn   = 21.1
	perBass   = 24.3
	perApart  = 0.54
	perSize   = 0.33
	perBeyond = -1.8 // for each moment before the first accent or behind the last

	fewMoments = 40.0 // so many moments count half of what repeats
	mostBeyond = 3    // moments beyond the music that are counted
)

// gapStep is the step in which gaps between accents are told apart.
const gapStep = 20 * time.Millisecond

// afterLess returns by how much more the gap behind each accent ranks than that before
// it, -1 to 1. Notes that lead to a beat are short, and what a beat begins is held: so
// the places of a beat are told from those between, even where both sound alike.
func afterLess(accents []Accent) []float64 {
	after, before := make([]float64, len(accents)), make([]float64, len(accents))
	for i := 1; i < len(accents); i++ {
		gap := math.Round(float64(accents[i].At-accents[i-1].At) / float64(gapStep))
		after[i-1], before[i] = gap, gap
	}
	after, before = ranks(after), ranks(before)
	for i := range after {
		after[i] -= before[i]
	}
	return after
}

// A seen is what moments meet at one shift.
type seen struct {
	met    int
	gap    float64 // the mean over those met
	turn   float64 // the means over all moments, 0 for one that meets nothing
	bass   float64
	loud   []float64 // of what each moment meets, 0 for nothing
	beyond int
}

// look looks at what the moments meet at a shift: the strongest accent near each.
func (e *Ear) look(moments []time.Duration, shift time.Duration) seen {
	s := seen{loud: make([]float64, len(moments))}
	t := train{accents: e.music.Accents}
	for k, m := range moments {
		at := m - shift
		if at < e.first-within || at > e.last+within {
			s.beyond++
		}
		best := -1
		for i := t.first(at - oneMeeting); i < len(t.accents) && t.accents[i].At <= at+oneMeeting; i++ {
			if best < 0 || e.strength[i] > e.strength[best] {
				best = i
			}
		}
		if best >= 0 {
			s.met++
			s.gap += e.gap[best]
			s.turn += e.turn[best]
			s.bass += e.bass[best]
			s.loud[k] = e.loud[best]
		}
	}
	n := float64(max(1, len(moments)))
	s.gap, s.turn, s.bass = s.gap/float64(max(1, s.met)), s.turn/n, s.bass/n
	return s
}

// weigh returns the log of the chance of moments of these sizes at a shift, but for a
// constant and without the prior. worth is what they are worth there, and z by how
// much they stand out there.
func (e *Ear) weigh(moments []time.Duration, sizes []float64, shift time.Duration, worth, z float64) float64 {
	n := float64(len(moments))
	if n == 0 {
		return 0
	}
	s := e.look(moments, shift)
	return n/(n+fewMoments)*(perWorth*worth+perGap*s.gap+perTurn*s.turn+perBass*s.bass) +
		perApart*unrepeated(z) + perSize*together(sizes, s.loud) + perBeyond*float64(min(s.beyond, mostBeyond))
}

// together is the log of how much likelier sizes and loudness are to go together as
// they do where the larger moments were put to the louder accents, which three lists
// in ten are taken to do, than by chance.
func together(sizes, loud []float64) float64 {
	z := likeness(sizes, loud) * math.Sqrt(float64(len(sizes)))
	sum := 0.0
	for _, m := range [...]float64{1, 2, 4} {
		sum += math.Exp(m*z-m*m/2) / 3
	}
	return math.Log(0.7 + 0.3*sum)
}

// likeness is Spearman's rank correlation, 0 where either does not vary.
func likeness(x, y []float64) float64 {
	x, y = ranks(x), ranks(y)
	var xx, yy, xy float64
	for i := range x {
		// The mean of all ranks is a half.
		a, b := x[i]-0.5, y[i]-0.5
		xx, yy, xy = xx+a*a, yy+b*b, xy+a*b
	}
	if xx*yy == 0 {
		return 0
	}
	return xy / math.Sqrt(xx*yy)
}

// sizes are those of moments: the calibres of a moment's cues added up. A cue without
// one counts as the middle one of the list. Cues of positions that stand apart are
// none of it.
func (r *review) sizes(moments []time.Duration) []float64 {
	usual := r.usualCaliber()
	out := make([]float64, len(moments))
	k := 0
	for _, c := range r.cues {
		if _, apart := r.extra[c.Position]; apart {
			continue
		}
		at := c.EffectAt - r.tilt.at(c.EffectAt)
		for k+1 < len(moments) && moments[k+1] <= at {
			k++
		}
		if d := at - moments[k]; d >= 0 && d <= oneMoment {
			size := c.Caliber
			if size == 0 {
				size = usual
			}
			out[k] += size
		}
	}
	return out
}

// usualCaliber is the middle one of those given, 1 without any.
func (r *review) usualCaliber() float64 {
	var given []float64
	for _, c := range r.cues {
		if c.Caliber > 0 {
			given = append(given, c.Caliber)
		}
	}
	if len(given) == 0 {
		return 1
	}
	return medianOf(given)
}
