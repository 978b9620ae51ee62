package calls

import (
	"fmt"

	"drylane/playback"
	"drylane/show/timebase"
)

// A Mark is a phrase in a track: its onset falls on frame At.
type Mark struct {
	At     timebase.Frame
	Phrase Phrase
	Sound  Sound
}

// Render says phrases, which come in order of time, at rate frames a second. No
// sound reaches into the one that follows it. A phrase that is not over in its room
// is an error: what is cut short is not what was planned.
func Render(phrases []Phrase, speaker Speaker, rate int) ([]Mark, error) {
	var marks []Mark
	for _, p := range phrases {
		sound, err := speaker.Say(p)
		if err != nil {
			return nil, err
		}
		if took := len(sound.Samples) - sound.Onset; p.Room > 0 && took > frames(p.Room, rate) {
			return nil, fmt.Errorf("%q takes %.2f s to speak; wanted %.2f s at most", p.Text, float64(took)/float64(rate), p.Room.Seconds())
		}
		marks = append(marks, Mark{timebase.FrameAt(p.At, rate), p, sound})
	}
	separate(marks, rate)
	return marks, nil
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
