package calls

import (
	"time"

	"drylane/playback"
	"drylane/show/timebase"
)

// A Mark is a phrase in a track: its onset falls on frame At.
type Mark struct {
	At     timebase.Frame
	Phrase Phrase
	Sound  Sound
	Shot   *Shot // of a Word
}

// Render says a plan at rate frames a second: the marks in order of time. No
// sound reaches into the one that follows it.
func Render(plan []Series, speaker Speaker, rate int) ([]Mark, error) {
	var marks []Mark
	for _, series := range plan {
		if series.Warned {
			m, err := warn(series, speaker, rate)
			if err != nil {
				return nil, err
			}
			marks = append(marks, m)
		}
		for i := range series.Shots {
			shot := &series.Shots[i]
			for n := shot.Count; n >= 0; n-- {
				m := Mark{At: timebase.FrameAt(shot.At-time.Duration(n)*time.Second, rate), Phrase: wordPhrase(), Shot: shot}
				if n > 0 {
					m.Phrase, m.Shot = countPhrase(n), nil
				}
				var err error
				if m.Sound, err = speaker.Say(m.Phrase); err != nil {
					return nil, err
				}
				marks = append(marks, m)
			}
		}
	}
	separate(marks, rate)
	return marks, nil
}

// warn is the fullest warning of a series that is over before its count; if
// none is, the shortest, which separate will cut.
func warn(s Series, speaker Speaker, rate int) (Mark, error) {
	first := s.Shots[0]
	at := timebase.FrameAt(first.At-WarnAhead, rate)
	room := frames(WarnAhead-time.Duration(first.Count)*time.Second-WarnEnd, rate)
	var m Mark
	for _, p := range warnings(s) {
		sound, err := speaker.Say(p)
		if err != nil {
			return m, err
		}
		m = Mark{At: at, Phrase: p, Sound: sound}
		if len(sound.Samples)-sound.Onset <= room {
			break
		}
	}
	return m, nil
}

// separate cuts sounds such that there is silence before each that follows,
// and none begins before frame 0.
func separate(marks []Mark, rate int) {
	for i := range marks {
		m := &marks[i]
		if early := m.Sound.Onset - int(m.At); early > 0 {
			m.Sound = Sound{m.Sound.Samples[early:], m.Sound.Onset - early}
		}
		if i+1 == len(marks) {
			break
		}
		next := &marks[i+1]
		room := int(next.At-m.At) - next.Sound.Onset - frames(gap, rate) + m.Sound.Onset
		if room < len(m.Sound.Samples) {
			m.Sound = cut(m.Sound, room, rate)
		}
	}
}

// Voices places the sounds of marks for mixing.
func Voices(marks []Mark) *playback.Voices {
	var v playback.Voices
	for i, m := range marks {
		v.Add(playback.Voice{ID: i, Start: m.At - timebase.Frame(m.Sound.Onset), Sound: m.Sound.Samples})
	}
	return &v
}
