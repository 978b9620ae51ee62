package score

import "drylane/show/timebase"

// harmony holds one chord a bar in the strings, wide across the stage.
func (s *Score) harmony(sec section, chords []chord, force float64) {
	for bar, c := range chords {
		for _, p := range c.upper {
			s.wide(note{at: sec.at(bar, 0), length: sec.span(steps), pitch: p, force: force})
		}
	}
}

// wide plays a string note twice, left and right, each with its own beating.
func (s *Score) wide(n note) {
	for _, side := range []float64{-0.75, 0.75} {
		n.pan = side
		s.play(violins, n)
	}
}

// bassline plays the bass of each chord on the given steps of each bar.
func (s *Score) bassline(sec section, chords []chord, force float64, on ...int) {
	for bar, c := range chords {
		for i, step := range on {
			next := steps
			if i+1 < len(on) {
				next = on[i+1]
			}
			s.play(bass, note{at: sec.at(bar, step), length: sec.span(next - step), pitch: c.bass, force: force})
		}
	}
}

// melody plays a tune from the given bar on.
func (s *Score) melody(i instrument, sec section, bar int, tune []tone, shift pitch, force, pan float64) {
	step := 0
	for _, t := range tune {
		s.play(i, note{at: sec.at(bar, step), length: sec.span(t.length), pitch: t.pitch + shift, force: force, pan: pan})
		step += t.length
	}
}

// arpeggio runs up and down each chord, a pluck every `every` steps.
func (s *Score) arpeggio(sec section, from int, chords []chord, every int, force float64) {
	order := [8]int{0, 1, 2, 3, 4, 3, 2, 1}
	for bar, c := range chords {
		for i := 0; i < steps/every; i++ {
			k := order[i%len(order)]
			p := c.upper[k%3] + 12*pitch(k/3) + 12
			pan := 0.5
			if i%2 == 0 {
				pan = -0.5
			}
			s.play(pluck, note{at: sec.at(from+bar, i*every), length: sec.span(2 * every), pitch: p, force: force, pan: pan})
		}
	}
}

// mark notes an accent.
func (s *Score) mark(sec section, bar, step int, level Level) {
	s.Accents = append(s.Accents, Accent{At: sec.at(bar, step), Section: sec.name, Bar: bar, Step: step, Level: level})
}

// full marks an accent with everything on it: drums, cymbal and low D or A.
func (s *Score) full(sec section, bar, step int) {
	s.mark(sec, bar, step, Full)
	at := sec.at(bar, step)
	s.drum(kick, at, 1, 0)
	s.drum(cymbal, at, 0.9, 0.3)
	s.drum(tom, at, 0.9, -0.2)
	s.play(timpani, note{at: at, length: sec.span(8), pitch: 38, force: 1, pan: 0.15})
}

// strong marks an accent of the drums.
func (s *Score) strong(sec section, bar, step int, force float64) {
	s.mark(sec, bar, step, Strong)
	at := sec.at(bar, step)
	s.drum(kick, at, force, 0)
	s.drum(snare, at, 0.9*force, 0.1)
	s.play(timpani, note{at: at, length: sec.span(4), pitch: 45, force: 0.55 * force, pan: 0.15})
}

// drum plays an instrument without a pitch.
func (s *Score) drum(i instrument, at timebase.Frame, force, pan float64) {
	s.play(i, note{at: at, force: force, pan: pan})
}

// hats plays a closed cymbal every `every` steps, the beats a little louder.
func (s *Score) hats(sec section, bar, every int, force float64) {
	for step := 0; step < steps; step += every {
		f := force
		if step%4 != 0 {
			f *= 0.6
		}
		s.drum(hat, sec.at(bar, step), f, -0.35)
	}
}
