package truth

import (
	"cmp"
	"io"
	"slices"
	"time"
)

// A Grid is the meter of a piece: where beats and bars begin, from the first note
// to the last, whether or not a note begins there.
type Grid struct{ Beats, Bars []time.Duration }

// ReadGrid returns the meter of a Standard MIDI File: by its time signatures,
// 4/4 before the first. In 6/8, 9/8 and 12/8 a beat is three eighths.
func ReadGrid(r io.Reader) (Grid, error) {
	s, division, err := readScore(r)
	if err != nil || len(s.played) == 0 {
		return Grid{}, err
	}
	last := func(a, b tickNote) int { return cmp.Compare(a.tick, b.tick) }
	from, to := slices.MinFunc(s.played, last).tick, slices.MaxFunc(s.played, last).tick
	slices.SortStableFunc(s.meters, func(a, b meter) int { return cmp.Compare(a.tick, b.tick) })
	var g Grid
	w := s.walk(division)
	now, rest := meter{beats: 4, below: 2}, s.meters
	for tick, beat := int64(0), 0; tick <= to; beat++ {
		for ; len(rest) > 0 && rest[0].tick <= tick; rest = rest[1:] {
			now, beat = rest[0], 0
		}
		step, beats := now.beat(division)
		if at := w.at(tick); tick >= from {
			g.Beats = append(g.Beats, at)
			if beat%beats == 0 {
				g.Bars = append(g.Bars, at)
			}
		}
		tick += step
	}
	return g, nil
}

// beat returns the ticks of a beat, and the beats of a bar.
func (m meter) beat(division int64) (ticks int64, beats int) {
	ticks, beats = max(1, division*4>>m.below), m.beats
	if m.below == 3 && beats > 3 && beats%3 == 0 {
		ticks, beats = 3*ticks, beats/3
	}
	return ticks, beats
}
