package fired

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"drylane/show"
)

// positions are how many a show here has.
const positions = 6

// items are what the lists are made of: what is lit, its size in mm, its prefire and
// how long it burns in seconds, and how often it comes.
var items = []struct {
	effect        string
	caliber       float64
	prefire, burn float64
	often         int
}{
	{"red peony shell", 75, 3, 2, 5}, {"gold palm shell", 100, 3.5, 3, 4}, {"brocade crown shell", 125, 4, 4, 2},
	{"kamuro shell", 150, 4.5, 6, 1}, {"salute", 50, 2.2, 0.3, 1}, {"red star mine", 60, 0, 1.5, 3},
	{"silver comet", 45, 0, 2, 2}, {"25 shot cake", 30, 0, 9, 1}, {"silver fountain", 0, 0, 12, 1},
}

// Show draws a show for music: as many cues, most of them on what is loud in it.
func Show(r *rand.Rand, music []float64, cues int) *show.Show {
	s := &show.Show{Title: "A night", Air: show.Air{TemperatureC: between(r, 5, 25)}}
	for i := range positions {
		s.Positions = append(s.Positions, show.Position{
			Name: string(rune('A' + i)), Distance: math.Round(between(r, 90, 260)), Bearing: math.Round(-50 + 20*float64(i)),
		})
	}
	for side := -1.0; side <= 1; side += 2 {
		s.Speakers = append(s.Speakers, show.Speaker{Name: fmt.Sprint("stack", side), Distance: math.Round(between(r, 15, 45)), Bearing: 35 * side})
	}
	accents := loud(music)
	length := float64(len(music)) / Rate
	for len(s.Cues) < cues {
		at := between(r, 6, length-4)
		if k := r.IntN(4); k > 0 && len(accents) > 0 {
			at = accents[r.IntN(len(accents))]
		}
		if at < 6 || at > length-4 {
			continue
		}
		item := pick(r)
		for range []int{1, 1, 1, 2, 2, 3, 6}[r.IntN(7)] {
			s.Cues = append(s.Cues, show.Cue{
				EffectAt: seconds(at).Round(10 * time.Millisecond), Prefire: seconds(items[item].prefire), Burn: seconds(items[item].burn),
				Position: s.Positions[r.IntN(positions)].Name, Effect: items[item].effect,
				Family: show.FamilyOf(items[item].effect), Caliber: items[item].caliber,
			})
		}
	}
	slices.SortFunc(s.Cues, func(a, b show.Cue) int { return cmp.Compare(a.IgniteAt(), b.IgniteAt()) })
	for i := range s.Cues {
		s.Cues[i].ID, s.Cues[i].Line = fmt.Sprint(i+1), i+2
	}
	return s
}

func pick(r *rand.Rand) int {
	all := 0
	for _, it := range items {
		all += it.often
	}
	k := r.IntN(all)
	for i, it := range items {
		if k -= it.often; k < 0 {
			return i
		}
	}
	panic("no item")
}

// loud are the moments at which music gets louder at once, in seconds: the third of
// them that does most.
func loud(music []float64) []float64 {
	const step = Rate / 50
	var at, rise []float64
	before := 0.0
	for i := 0; i+step <= len(music); i += step {
		now := rms(music[i : i+step])
		if now > 1.3*before {
			at, rise = append(at, float64(i)/Rate), append(rise, now-before)
		}
		before = now
	}
	if len(rise) == 0 {
		return nil
	}
	sorted := slices.Sorted(slices.Values(rise))
	var out []float64
	for i, v := range rise {
		if v >= sorted[len(sorted)*2/3] {
			out = append(out, at[i])
		}
	}
	return out
}
