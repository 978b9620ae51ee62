package score

import (
	"time"

	"drylane/show/timebase"
)

// composePrelude is a drone that grows under the witness tone, and a roll into
// the first bar.
func (s *Score) composePrelude() {
	for _, p := range []pitch{38, 45, 50, 57} {
		s.wide(note{at: timebase.FrameAt(500*time.Millisecond, Rate), length: intro.at(0, 0), pitch: p, force: 0.25})
	}
	for i := range 8 {
		s.play(timpani, note{at: intro.at(-1, 2*i), length: intro.span(2), pitch: 38, force: 0.15 + 0.06*float64(i), pan: 0.15})
	}
}

// composeIntro answers each great stroke with two small ones.
func (s *Score) composeIntro() {
	s.harmony(intro, introChords, 0.5)
	s.bassline(intro, introChords, 0.7, 0)
	s.arpeggio(intro, 0, introChords, 4, 0.5)
	for _, bar := range []int{0, 2, 4, 6} {
		s.full(intro, bar, 0)
	}
	for _, bar := range []int{1, 3, 5} {
		s.strong(intro, bar, 12, 0.6)
		s.strong(intro, bar, 14, 0.7)
	}
	for i, step := range []int{8, 10, 12, 14} {
		s.strong(intro, 7, step, 0.6+0.1*float64(i))
	}
}

// composeTheme states the tune, at first with bells, then with the horn.
func (s *Score) composeTheme() {
	s.harmony(theme, themeChords, 0.55)
	s.bassline(theme, themeChords, 0.8, 0, 4, 6, 8, 12, 14)
	s.melody(bell, theme, 0, themeFirst, 0, 0.8, 0.1)
	s.melody(bell, theme, 8, themeSecond, 0, 0.6, 0.1)
	s.melody(horn, theme, 8, themeSecond, 0, 0.6, -0.1)
	s.arpeggio(theme, 8, themeChords[8:], 2, 0.4)
	s.march(theme, 0, 16, 0.45)
}

// march is the beat under the tune: a stroke on one and on three, a great one
// every fourth bar.
func (s *Score) march(sec section, from, bars int, hatForce float64) {
	for bar := from; bar < from+bars; bar++ {
		if bar%4 == 0 {
			s.full(sec, bar, 0)
		} else {
			s.mark(sec, bar, 0, Strong)
			s.drum(kick, sec.at(bar, 0), 1, 0)
			s.drum(tom, sec.at(bar, 0), 0.7, -0.2)
		}
		s.drum(kick, sec.at(bar, 6), 0.6, 0)
		s.mark(sec, bar, 8, Strong)
		s.drum(snare, sec.at(bar, 8), 0.9, 0.1)
		s.drum(kick, sec.at(bar, 8), 0.5, 0)
		s.hats(sec, bar, 2, hatForce)
	}
}

// composeBuild doubles its strokes every two bars and ends in a roll.
func (s *Score) composeBuild() {
	s.harmony(build, buildChords, 0.6)
	s.bassline(build, buildChords, 0.8, 0, 4, 8, 12)
	for bar := range build.bars {
		s.arpeggio(build, bar, buildChords[bar:bar+1], 2, 0.4+0.03*float64(bar))
	}
	for bar := range 7 {
		every := [7]int{8, 8, 4, 4, 4, 2, 2}[bar]
		for step := 0; step < steps; step += every {
			s.strong(build, bar, step, 0.55+0.05*float64(bar))
		}
		s.hats(build, bar, 2, 0.3)
	}
	s.full(build, 7, 0)
	s.roll(build, 7, 4, 12)
}

// roll is a snare roll that grows over n steps.
func (s *Score) roll(sec section, bar, step, n int) {
	for i := range n {
		s.drum(snare, sec.at(bar, step+i), 0.25+0.55*float64(i)/float64(n), 0.1)
	}
}

// composeChase runs in sixteenths; bars 3 and 7 are a run of sixteen drums
// across the stage, out and back.
func (s *Score) composeChase() {
	s.harmony(chase, chaseChords, 0.45)
	s.bassline(chase, chaseChords, 0.9, 0, 4, 8, 12)
	s.arpeggio(chase, 0, chaseChords, 1, 0.45)
	for bar := range chase.bars {
		switch bar {
		case 3:
			s.run(bar, 1)
		case 7:
			s.run(bar, -1)
		case 0, 4:
			s.full(chase, bar, 0)
			s.strong(chase, bar, 8, 0.8)
		default:
			s.strong(chase, bar, 0, 0.9)
			s.strong(chase, bar, 8, 0.8)
		}
		s.drum(kick, chase.at(bar, 4), 0.7, 0)
		s.drum(kick, chase.at(bar, 12), 0.7, 0)
		s.hats(chase, bar, 2, 0.5)
	}
}

// run is sixteen drums, a step apart, from one side to the other.
func (s *Score) run(bar int, direction float64) {
	for step := range steps {
		s.mark(chase, bar, step, Run)
		across := direction * (float64(step)/7.5 - 1)
		at := chase.at(bar, step)
		s.drum(snare, at, 0.75, 0.8*across)
		s.play(bell, note{at: at, length: chase.span(2), pitch: d5 + [4]pitch{0, 3, 7, 12}[step%4] + pitch(step/4), force: 0.45, pan: 0.8 * across})
	}
}

// composeSlow is bells and strings alone.
func (s *Score) composeSlow() {
	s.harmony(middle, slowChords, 0.6)
	s.bassline(middle, slowChords, 0.5, 0)
	s.melody(bell, middle, 0, slowTune, 0, 0.75, 0.1)
	for bar := range middle.bars {
		s.mark(middle, bar, 0, Soft)
		s.mark(middle, bar, 8, Soft)
		s.play(pluck, note{at: middle.at(bar, 8), length: middle.span(8), pitch: slowChords[bar].upper[1], force: 0.5, pan: -0.4})
		s.play(pluck, note{at: middle.at(bar, 12), length: middle.span(4), pitch: slowChords[bar].upper[2], force: 0.4, pan: -0.4})
	}
}

// composeReturn takes the tune up again at full strength.
func (s *Score) composeReturn() {
	s.harmony(again, returnChords, 0.65)
	s.bassline(again, returnChords, 0.9, 0, 4, 6, 8, 12, 14)
	s.melody(bell, again, 0, returnTune, 0, 0.6, 0.1)
	s.melody(horn, again, 0, returnTune, 0, 0.75, -0.1)
	s.arpeggio(again, 0, returnChords, 2, 0.4)
	s.march(again, 0, 7, 0.5)
	s.strong(again, 7, 0, 1)
	s.strong(again, 7, 8, 1)
	s.roll(again, 7, 10, 6)
}

// composeFinale turns to D major; the last bars strike every beat and the coda
// is one chord that rings out.
func (s *Score) composeFinale() {
	s.harmony(finale, finaleChords, 0.75)
	s.bassline(finale, finaleChords, 1, 0, 4, 6, 8, 12, 14)
	s.melody(horn, finale, 0, finaleTune, 0, 0.85, -0.15)
	s.melody(horn, finale, 0, finaleTune, -12, 0.5, 0.2)
	s.melody(bell, finale, 0, finaleTune, 0, 0.6, 0.1)
	s.arpeggio(finale, 0, finaleChords, 2, 0.45)
	for bar := range finale.bars {
		if bar%2 == 0 {
			s.full(finale, bar, 0)
		} else {
			s.strong(finale, bar, 0, 1)
		}
		if bar < 8 {
			s.strong(finale, bar, 8, 0.9)
		} else {
			for _, step := range []int{4, 8, 12} {
				s.strong(finale, bar, step, 0.9)
			}
		}
		s.hats(finale, bar, 2, 0.55)
	}
	s.full(coda, 0, 0)
	for _, p := range []pitch{50, 57, 62, 66, 69, 74} {
		s.wide(note{at: coda.at(0, 0), length: coda.span(24), pitch: p, force: 0.8})
	}
	s.play(bass, note{at: coda.at(0, 0), length: coda.span(28), pitch: 38, force: 1})
	s.play(horn, note{at: coda.at(0, 0), length: coda.span(20), pitch: d6, force: 0.8, pan: -0.15})
	for i, p := range []pitch{d5, fs5, a5, d6} {
		s.play(bell, note{at: coda.at(0, 0), length: coda.span(30), pitch: p, force: 0.6, pan: 0.25*float64(i) - 0.3})
	}
}
