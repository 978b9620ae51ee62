package check

import (
	"fmt"
	"time"

	"drylane/show"
	"drylane/show/timebase"
)

// Judging is how long after the witness the show proper may begin: the witness
// at about 5 s, the show proper from about 10 s (common practice, no source).
const Judging = 5 * time.Second

// Reach is how far from its time the witness tone is listened for.
const Reach = 500 * time.Millisecond

// toneSlack is how far from its stated time a tone may begin without a warning.
const toneSlack = 100 * time.Millisecond

// witnessRule looks at the tone, and at what comes after it. The reader of the
// folder has checked already that its cue is there and near.
func witnessRule(f *Facts, c *collector) {
	w := f.Show.Witness
	if w == nil {
		if len(f.Show.Cues) > 0 {
			c.note(CodeWitnessNone, "show.toml", "the show has no witness: nobody sees early on that cues and music run together",
				"lay a tone into the music at about 5 s, put one small cue on it, and add [witness] with at and cue")
		}
		return
	}
	if t := f.Tone; t != nil {
		toneFinding(f, t, c)
	}
	first, ok := firstOther(f.Show)
	if !ok {
		return
	}
	if from := w.At + Judging; first.EffectAt < from {
		apart, word := first.EffectAt-w.At, "after"
		if apart < 0 {
			word = "before"
		}
		c.warn(CodeWitnessSoon, cueLine(f.Show, first), fmt.Sprintf("cue %s comes at %s, %.1f s %s the witness: too soon to judge it and hold",
			show.Quote(first.ID), timebase.ClockMillis(first.EffectAt), apart.Abs().Seconds(), word),
			fmt.Sprintf("begin the show proper from %s on", timebase.ClockMillis(from)))
	} else if first.IgniteAt() <= w.At {
		c.warn(CodeWitnessSoon, cueLine(f.Show, first), fmt.Sprintf("cue %s is fired at %s, before the witness sounds: a hold would come too late for it",
			show.Quote(first.ID), timebase.ClockMillis(first.IgniteAt())), "begin the show proper later")
	}
}

// toneFinding holds what was heard against where the tone should be.
func toneFinding(f *Facts, t *Tone, c *collector) {
	at := f.Show.Witness.At
	if !t.Found {
		c.warn(CodeWitnessTone, f.Music.File, fmt.Sprintf("no tone stands out within %d ms of the witness at %s", ms(Reach), timebase.ClockMillis(at)),
			"lay the tone into the music there, or put witness.at where it is")
		return
	}
	if apart := t.At - at; apart.Abs() > toneSlack {
		word := "after"
		if apart < 0 {
			word = "before"
		}
		c.warn(CodeWitnessTone, f.Music.File, fmt.Sprintf("the witness tone (%.0f Hz) begins at %s, %d ms %s its time in show.toml",
			t.Hz, timebase.ClockMillis(t.At), ms(apart.Abs()), word), fmt.Sprintf("set witness.at = %q", timebase.ClockMillis(t.At)))
	}
}

// firstOther is the first effect that is not the witness's.
func firstOther(s *show.Show) (first show.Cue, ok bool) {
	for _, cue := range s.Cues {
		if cue.ID != s.Witness.Cue && (!ok || cue.EffectAt < first.EffectAt) {
			first, ok = cue, true
		}
	}
	return first, ok
}

// cueLine is where a cue stands.
func cueLine(s *show.Show, c show.Cue) string { return fmt.Sprintf("%s:%d", s.CuesFile, c.Line) }
